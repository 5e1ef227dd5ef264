// SPDX-License-Identifier: Apache-2.0
// Where the air that chills a place came from: back along the wind of the lowest air, through the night.
#pragma once

#include <cstdint>
#include <span>

#include "sim/night.hpp"

namespace lielow {

/// A place on a night's own grid, in its cells; a cell's centre lies at (row + 1/2, col + 1/2).
struct NightPlace {
    double row = 0;
    double col = 0;
};

/// A night on wider ground in the same frame, where paths go on that leave the first (sim/night_nest.hpp).
struct WiderNight {
    const NightResult* night = nullptr;  ///< null: nothing is known beyond
    double east_m = 0;                   ///< from its first corner to the first night's, along the rows
    double south_m = 0;                  ///< and down them
};

/// Share, 0..1, of places whose lowest air had come in over the edge of all ground since sunset. From each of
/// `places` (at most `most` of them, evenly picked) the wind of the lowest air is followed back from the
/// cell's coldest moment to sunset, linear in space and between the kept states; a path that leaves the grid
/// (with `wider`: that one's grid) came in over its edge. It is a measure of what the edges could have
/// changed, rather too large than too small: air also sinks into the lowest sheet on its way. Ends are to one
/// coarse cell, times to the states' interval.
double share_from_edges(const NightResult& night, std::span<const NightPlace> places,
                        const WiderNight& wider = {}, std::size_t most = 400);

}  // namespace lielow
