// SPDX-License-Identifier: Apache-2.0
// How a cell shares its water out among its lower neighbours: three published ways.
#pragma once

#include <array>
#include <cstdint>

#include "sim/drain_directions.hpp"

namespace lielow {

enum class FlowSplit : std::uint8_t {
    single,   ///< all to the steepest of eight (O'Callaghan & Mark 1984)
    facets,   ///< down the steepest of eight facets (Tarboton 1997, Water Resour. Res. 33:309-319)
    contour,  ///< slope × contour length (Quinn et al. 1991, Hydrol. Process. 5:59-79)
    power,    ///< slope^1.1 (Freeman 1991, Comput. Geosci. 17:413-422)
};

/// Heights of a cell's neighbours in the order of kNeighbours; NaN where there is none.
struct Surroundings {
    double z = 0;
    std::array<double, 8> around{};
};

/// Steepest way down over the eight triangles between a cell, a neighbour along a side and one across the
/// next corner.
struct FacetFall {
    double slope = 0;         ///< tangent, > 0; 0 where no facet falls
    double angle_rad = 0;     ///< counted from the direction of growing columns towards that of falling
                              ///< rows (from east over north on a north-up raster), 0 <= angle < 2π
    std::uint8_t side = 0;    ///< neighbour along the side, a place in kNeighbours
    std::uint8_t corner = 0;  ///< neighbour across the corner
    double corner_share = 0;  ///< of the water that goes to the corner, by angle; the rest to the side
};
FacetFall steepest_facet(const Grid& grid, const Surroundings& at);

/// Share of each neighbour, 0..1, that add up to 1; all 0 where none is lower.
std::array<double, 8> flow_shares(const Grid& grid, const Surroundings& at, FlowSplit split);

/// The surroundings of a cell on the directions' surface.
Surroundings surroundings(const Field<float>& surface, std::size_t cell);

}  // namespace lielow
