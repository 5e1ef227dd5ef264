// SPDX-License-Identifier: Apache-2.0
// Hollows, fill stage and upslope area of a DEM larger than memory.
#pragma once

#include <cstdint>
#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

#include "io/wide_ground.hpp"
#include "tools/progress.hpp"

namespace lielow {

/// "2 GB", "512 MiB": bytes. Throws InputError in one line.
std::uint64_t parse_memory(std::string_view text);

/// Cells a side of the largest tiles with which the work stays below `memory` bytes. Throws InputError when
/// not even the smallest tiles do.
std::int32_t tile_side(const Grid& grid, std::uint64_t memory);

/// Names of the rasters that can be had by tiles.
std::vector<std::string> wide_rasters();

/// Writes the `wanted` ones (all if empty) into `folder`, tiles of `side` cells. Throws as WideDem, RunError
/// and Interrupted.
void run_wide(const WideDem& dem, std::int32_t side, const std::vector<std::string>& wanted,
              const std::filesystem::path& folder, Progress& progress);

}  // namespace lielow
