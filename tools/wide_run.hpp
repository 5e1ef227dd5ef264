// SPDX-License-Identifier: Apache-2.0
// Hollows, fill stage and upslope area of a DEM larger than memory.
#pragma once

#include <cstdint>
#include <filesystem>
#include <string>
#include <vector>

#include "io/wide_ground.hpp"
#include "tools/progress.hpp"

namespace lielow {

/// Names of the rasters that can be had by tiles.
std::vector<std::string> wide_rasters();

struct WideRequest {
    std::uint64_t memory = 0;          ///< bytes to stay below
    std::vector<std::string> wanted;   ///< empty = all, those of the night where it has a site file
    std::filesystem::path night_site;  ///< empty = no night
    std::filesystem::path folder;      ///< for the rasters
};

/// Writes the rasters, all of them or none. Returns line by line what is to be told. Throws InputError in one
/// line, all but what is damaged in the DEM before the work begins; as WideDem, RunError and Interrupted.
std::vector<std::string> run_wide(const WideDem& dem, const WideRequest& request, Progress& progress);

}  // namespace lielow
