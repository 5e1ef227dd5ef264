// SPDX-License-Identifier: Apache-2.0
// Where the air that chills a place came from: back along the wind of the lowest air, through the night.
#pragma once

#include <cstdint>
#include <span>

#include "sim/night.hpp"

namespace lielow {

/// Share, 0..1, of places whose lowest air had come in over the ground's edge since sunset. From each cell of
/// `cells` (of the night's own coarse grid; at most `most` of them, evenly picked) the wind of the lowest air is
/// followed back from the cell's coldest moment to sunset, linear in space and between the kept states; a
/// path that leaves the grid came in over its edge. It is a measure of what the edges could have changed: air
/// also sinks into the lowest sheet on its way. Ends are to one coarse cell, times to the states' interval.
double share_from_edges(const NightResult& night, std::span<const std::size_t> cells, std::size_t most = 400);

}  // namespace lielow
