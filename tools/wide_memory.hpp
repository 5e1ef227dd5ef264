// SPDX-License-Identifier: Apache-2.0
// How much memory work on ground larger than memory takes, and how it is cut to keep within what it may take.
#pragma once

#include <cstdint>
#include <string_view>

#include "sim/night.hpp"

namespace lielow {

/// "2 GB", "512 MiB": bytes. Throws InputError in one line.
std::uint64_t parse_memory(std::string_view text);

/// Cells a side of the largest tiles with which hollows, fill stage and upslope area stay below `memory`
/// bytes. Throws InputError when not even the smallest tiles do.
std::int32_t tile_side(const Grid& grid, std::uint64_t memory);

/// Bytes at the peak of a night that is solved in one piece, the program's own among them.
std::uint64_t night_bytes(const NightPlan& plan);

/// What is held besides the windows of a night that is solved by such, or at most before: the program, its
/// cells' elevations and sky view while that is made.
std::uint64_t night_bytes_besides_windows(const NightPlan& plan);

/// Rows of the DEM's cells that a night is laid on at once to stay below `memory` bytes, `held` of which its
/// results take. Throws InputError when not even one row does.
std::int32_t night_strip_rows(const Grid& fine, const NightPlan& plan, std::uint64_t held,
                              std::uint64_t memory);

}  // namespace lielow
