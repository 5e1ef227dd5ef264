// SPDX-License-Identifier: Apache-2.0
// The ground around a farm from a second, coarser DEM, on the farm's own rows and columns.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "io/dem.hpp"
#include "sim/surround.hpp"

namespace lielow {

struct AroundRequest {
    std::filesystem::path path;
    std::optional<std::string> vertical_unit;  ///< as DemRequest's
    std::optional<std::string> crs;            ///< as DemRequest's
    Blocks finest;                             ///< cells no smaller than so many farm cells
    double reach_m = 0;                        ///< ground farther than this from the farm's edge is left out
};

/// How far ground is looked at beyond a farm: three times its longer side, and no less than 3 km.
double around_reach_m(const Grid& farm);

struct Around {
    Surround surround;  ///< with the farm's own elevations where it lies
    double lift_m = 0;  ///< added to the file's heights to meet the farm's
    double west_m = 0;  ///< how far it reaches beyond the farm's first column
    double east_m = 0;
    double north_m = 0;  ///< beyond its first row
    double south_m = 0;
    std::vector<std::string> notes;
};

/// The two DEMs may differ in CRS and cell size, not in their vertical datum: heights are compared where both
/// know the ground, and the surround's are moved by the median of the difference. Throws InputError in one
/// line for what read_dem refuses, where the file leaves out part of the farm or doesn't reach beyond it on
/// every side, whose cells are wider than the farm, and where the median is more than 5 m: no slip of a geoid
/// model, but another datum or unit.
Around read_around(const AroundRequest& request, const Dem& farm, const std::string& farm_file);

}  // namespace lielow
