// SPDX-License-Identifier: Apache-2.0
// Where the shape of the ground says wet and the soil survey says dry. A survey's outline holds more than
// three acres as a rule; a wet half-acre inside it is not drawn. An auger settles it.
#pragma once

#include <vector>

#include "sim/soil_facts.hpp"

namespace lielow {

/// Choices of this program, no published source.
struct AugerSpotOptions {
    double hollow_m = 6 * 0.0254;  ///< a closed hollow from this depth on looks wet
    double wetness_index = 12;     ///< so does ground from this index on (sim/upslope.hpp)
    double least_area_m2 = 200;    ///< smaller patches are passed over: a twentieth of an acre
    double settled_weight = 0.5;   ///< where a field test weighs this much it has settled the matter
    std::size_t most = 30;         ///< the largest patches
};

struct AugerSpot {
    std::uint32_t cell = 0;  ///< the deepest of the patch, or the wettest by index where there is no hollow
    double hollow_depth_m = 0;
    double wetness_index = 0;
    double area_m2 = 0;                           ///< of the patch
    bool hollow = false;                          ///< the hollow says wet; else the index does
    DrainageClass said = DrainageClass::unknown;  ///< by the survey
};

/// Patches (cells that touch, corners included) that look wet while the survey calls them well drained or
/// drier, and no field test stands near. By falling area, then by cell. `wetness` may be empty. No spots
/// where the facts have no drainage class.
std::vector<AugerSpot> auger_spots(const Grid& grid, const Field<float>& hollow_depth_m,
                                   const Field<float>& wetness, const SoilFacts& facts,
                                   const AugerSpotOptions& options = {});

}  // namespace lielow
