// SPDX-License-Identifier: Apache-2.0
// The files an input really consists of, and how large a raster is, without reading it.
#pragma once

#include <cstdint>
#include <filesystem>
#include <vector>

namespace lielow {

/// The file itself and what GDAL reads along with it: a world file, a .dbf, the sources of a virtual raster.
/// Sorted. Throws InputError when there is nothing at `input`.
std::vector<std::filesystem::path> files_behind(const std::filesystem::path& input);

/// Rows times columns; 0 for what GDAL can't open as a raster.
std::uint64_t raster_cells(const std::filesystem::path& file);

}  // namespace lielow
