// SPDX-License-Identifier: Apache-2.0
// Drain directions on ground too large for memory: those of drain_directions, the same in every cell.
//
// Off level ground a direction hangs on the eight neighbours alone. Across level ground it hangs on two
// numbers of steps, to lower ground and from higher (sim/flat_drainage.hpp). Level ground that reaches over
// several tiles is counted tile by tile from what the neighbours' borders say, again and again until no
// border changes. Steps are whole numbers that only fall, so the order of the tiles doesn't matter. What the
// whole ground's code adds besides (the most steps from higher ground) is the same for all cells of one piece
// of level ground and so decides nothing.
#pragma once

#include <cstdint>
#include <vector>

#include "sim/drain_directions.hpp"
#include "sim/ground_tiles.hpp"

namespace lielow {

/// Steps at a cell of level ground, kManySteps where not known to be reached.
struct FlatSteps {
    std::int32_t to_lower = 0;
    std::int32_t from_higher = 0;
    bool operator==(const FlatSteps&) const = default;
};
inline constexpr std::int32_t kManySteps = 0x3fffffff;

/// For each tile the steps at its border cells, by border_index.
using FlatBorders = std::vector<std::vector<FlatSteps>>;

/// First pass. `read` hands over the ground with its hollows filled, m, NaN outside it. Level ground across
/// many tiles is read once for every tile that its water crosses, the rest once. Holds up to 32 bytes a cell
/// of a tile and 8 bytes a cell of all borders.
FlatBorders flat_borders(const TileCut& cut, const ReadWindow<float>& read);

/// Second pass, one tile: DrainDirections::to.
Field<std::uint8_t> finish_tile_directions(const TileCut& cut, std::size_t tile,
                                           const ReadWindow<float>& read, const FlatBorders& known);

}  // namespace lielow
