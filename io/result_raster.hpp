// SPDX-License-Identifier: Apache-2.0
// A raster that an earlier run wrote, read back.
#pragma once

#include <filesystem>
#include <vector>

#include "sim/grid.hpp"

namespace lielow {

/// What write_raster() wrote, NaN where it has no value. Throws RunError when the file isn't there, is
/// damaged, or isn't on `grid`'s rows and columns.
Field<float> read_result_raster(const std::filesystem::path& path, const Grid& grid);

/// The rasters in `folder` by name; none where there is no such folder.
std::vector<std::filesystem::path> rasters_in(const std::filesystem::path& folder);

}  // namespace lielow
