// SPDX-License-Identifier: Apache-2.0
#include "sim/tile_upslope.hpp"

#include <limits>
#include <numeric>

namespace lielow {
namespace {

/// The cell that `cell` sends its water to, or itself where that isn't on this tile.
std::size_t next_on_tile(const Field<std::uint8_t>& to, std::size_t cell) {
    return to[cell] < 8 ? neighbour_cell(to.rows(), to.cols(), cell, to[cell]) : cell;
}

/// Adds each cell's number to the one that it drains to, from the tops down.
template <class Count>
void add_up(const Field<std::uint8_t>& to, Field<Count>& count) {
    Field<std::uint8_t> waits_for(to.rows(), to.cols(), 0);
    for (std::size_t cell = 0; cell < to.size(); ++cell) {
        const std::size_t next = next_on_tile(to, cell);
        if (next != cell) ++waits_for[next];
    }
    constexpr std::uint8_t kDone = 255;
    for (std::size_t start = 0; start < to.size(); ++start) {
        std::size_t cell = start;
        while (waits_for[cell] == 0) {
            waits_for[cell] = kDone;
            const std::size_t next = next_on_tile(to, cell);
            if (next == cell) break;
            count[next] += count[cell];
            --waits_for[next];
            cell = next;
        }
    }
}

std::size_t cell_on(const Window& tile, std::int32_t row, std::int32_t col) {
    return static_cast<std::size_t>(row - tile.row) * static_cast<std::size_t>(tile.cols) +
           static_cast<std::size_t>(col - tile.col);
}

/// For each border cell the border_index over which its water leaves for another tile.
std::vector<std::uint32_t> where_it_leaves(const Window& tile, const Field<std::uint8_t>& to) {
    constexpr std::uint32_t kNotKnown = kStays - 1;
    Field<std::uint32_t> leaves(tile.rows, tile.cols, kNotKnown);
    std::vector<std::uint32_t> out(border_size(tile), kStays);
    each_border_cell(tile, [&](std::int32_t row, std::int32_t col) {
        const std::size_t cell = cell_on(tile, row, col);
        const bool goes = to[cell] < 8 && next_on_tile(to, cell) == cell;
        if (goes) leaves[cell] = static_cast<std::uint32_t>(border_index(tile, row, col));
    });
    std::vector<std::size_t> way;
    each_border_cell(tile, [&](std::int32_t row, std::int32_t col) {
        std::size_t cell = cell_on(tile, row, col);
        while (leaves[cell] == kNotKnown) {
            way.push_back(cell);
            leaves[cell] = kStays;  // until the end of the way says otherwise
            cell = next_on_tile(to, cell);
        }
        const std::uint32_t answer = leaves[cell];
        for (const std::size_t passed : way) leaves[passed] = answer;
        way.clear();
        out[border_index(tile, row, col)] = answer;
    });
    return out;
}

/// The borders as one list of places.
class Places {
  public:
    explicit Places(const TileCut& cut) : cut_(cut), first_(cut.count() + 1, 0) {
        for (std::size_t t = 0; t < cut.count(); ++t) first_[t + 1] = first_[t] + border_size(cut.tile(t));
    }
    [[nodiscard]] std::size_t of(std::size_t tile, std::size_t index) const { return first_[tile] + index; }
    [[nodiscard]] std::size_t at(std::int32_t row, std::int32_t col) const {
        const std::size_t t = cut_.tile_of(row, col);
        return first_[t] + border_index(cut_.tile(t), row, col);
    }
    [[nodiscard]] std::size_t count() const { return first_.back(); }

  private:
    const TileCut& cut_;
    std::vector<std::size_t> first_;
};

/// Where what comes to each place goes on to: within a tile the place it leaves over, from there the place
/// on the next tile; itself where it goes nowhere.
std::vector<std::size_t> onward(const TileCut& cut, const std::vector<TileFlow>& flows,
                                const Places& places) {
    std::vector<std::size_t> next(places.count());
    std::iota(next.begin(), next.end(), std::size_t{0});
    for (std::size_t t = 0; t < cut.count(); ++t) {
        const Window tile = cut.tile(t);
        each_border_cell(tile, [&](std::int32_t row, std::int32_t col) {
            const std::size_t index = border_index(tile, row, col);
            const std::uint32_t leaves = flows[t].leaves[index];
            if (leaves == kStays) return;
            if (leaves != index) {
                next[places.of(t, index)] = places.of(t, leaves);
                return;
            }
            const Neighbour n = kNeighbours[flows[t].to[index]];
            next[places.of(t, index)] = places.at(row + n.down, col + n.across);
        });
    }
    return next;
}

}  // namespace

TileFlow tile_flow(const Window& tile, const Field<std::uint8_t>& to) {
    Field<std::uint32_t> count(tile.rows, tile.cols, 1);
    add_up(to, count);
    TileFlow flow;
    flow.own.assign(border_size(tile), 0);
    flow.to.assign(border_size(tile), kNoGround);
    flow.leaves = where_it_leaves(tile, to);
    each_border_cell(tile, [&](std::int32_t row, std::int32_t col) {
        const std::size_t index = border_index(tile, row, col);
        flow.own[index] = count[cell_on(tile, row, col)];
        flow.to[index] = to[cell_on(tile, row, col)];
    });
    return flow;
}

std::vector<std::vector<std::uint64_t>> join_tile_flows(const TileCut& cut,
                                                        const std::vector<TileFlow>& flows) {
    const Places places(cut);
    const std::vector<std::size_t> next = onward(cut, flows, places);
    std::vector<std::uint32_t> waits_for(places.count(), 0);
    for (std::size_t p = 0; p < next.size(); ++p) waits_for[next[p]] += next[p] != p ? 1 : 0;
    // What comes in from other tiles at each place, be it there or higher up on the same tile's border.
    std::vector<std::uint64_t> through(places.count(), 0);
    std::vector<std::uint64_t> entering(places.count(), 0);
    std::vector<std::uint64_t> own(places.count(), 0);  // sent on to another tile
    for (std::size_t t = 0; t < flows.size(); ++t) {
        for (std::size_t i = 0; i < flows[t].own.size(); ++i)
            own[places.of(t, i)] = flows[t].leaves[i] == i ? flows[t].own[i] : 0;
    }
    constexpr std::uint32_t kDone = 0xffffffffU;
    for (std::size_t start = 0; start < next.size(); ++start) {
        std::size_t p = start;
        while (waits_for[p] == 0) {
            waits_for[p] = kDone;
            if (next[p] == p) break;
            const std::uint64_t sent = through[p] + own[p];
            through[next[p]] += sent;
            const bool crosses = own[p] != 0;
            if (crosses) entering[next[p]] += sent;
            p = next[p];
            --waits_for[p];
        }
    }
    std::vector<std::vector<std::uint64_t>> out(cut.count());
    for (std::size_t t = 0; t < cut.count(); ++t) {
        out[t].assign(entering.begin() + static_cast<std::ptrdiff_t>(places.of(t, 0)),
                      entering.begin() + static_cast<std::ptrdiff_t>(places.of(t + 1, 0)));
    }
    return out;
}

Field<double> finish_tile_upslope(const TileCut& cut, const Window& tile, const Field<std::uint8_t>& to,
                                  const std::vector<std::uint64_t>& comes_in) {
    Field<double> cells(tile.rows, tile.cols, 1.0);  // whole numbers far below 2⁵³
    each_border_cell(tile, [&](std::int32_t row, std::int32_t col) {
        cells[cell_on(tile, row, col)] += static_cast<double>(comes_in[border_index(tile, row, col)]);
    });
    add_up(to, cells);
    for (std::size_t cell = 0; cell < cells.size(); ++cell) {
        cells[cell] = to[cell] == kNoGround ? std::numeric_limits<double>::quiet_NaN()
                                            : cells[cell] * cut.grid().cell_area();
    }
    return cells;
}

}  // namespace lielow
