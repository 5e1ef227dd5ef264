// SPDX-License-Identifier: Apache-2.0
// Levels of water on ground too large for memory: to where hollows fill, and when water rising from the low
// point arrives.
//
// After Barnes, R. (2016): Parallel Priority-Flood depression filling for trillion cell digital elevation
// models on desktops or clusters. Computers & Geosciences 96:56-68: every tile is reduced to what its border
// needs to know, the borders are joined in memory, and every tile is then finished by itself. Here a tile's
// part is its catchments and the spanning forest of its passes (sim/catchments.hpp), cut down to the
// catchments that reach the border. Both answers are minimax levels over paths, which take heights as they
// are and round nothing: they equal those of the whole ground bit for bit, whatever the tiles.
#pragma once

#include <cstdint>
#include <vector>

#include "sim/ground_tiles.hpp"

namespace lielow {

/// From where water comes or to where it goes.
struct WaterSource {
    bool edges = true;    ///< every cell of the ground's edge: the levels are those to which hollows fill
    float low_point = 0;  ///< without edges: every cell of exactly this height, m
};

/// What is kept of a tile between the two passes: catchments that reach its border or a source.
struct TileLevels {
    std::vector<std::int32_t> catchment;  ///< rises
    std::vector<float> level;             ///< m: the lowest at which water joins the source; +inf never
};

/// First pass over all tiles, and the joining of their borders. `read` hands over heights in m, NaN outside
/// the ground. Holds about 24 bytes a cell of a tile and 32 bytes a cell of all borders.
std::vector<TileLevels> tile_border_levels(const TileCut& cut, const ReadWindow<float>& read,
                                           const WaterSource& source);

/// Second pass, one tile: the level of each cell, m: its own height or the lowest level at which water joins
/// the source; +inf never, NaN where the ground has no height.
Field<float> finish_tile_levels(const Window& tile, const Field<float>& heights, const TileLevels& known);

/// The lowest height of the ground, m. Throws InputError when no cell has one.
float lowest_height(const TileCut& cut, const ReadWindow<float>& read);

}  // namespace lielow
