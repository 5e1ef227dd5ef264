// SPDX-License-Identifier: Apache-2.0
#include "sim/tile_levels.hpp"

#include <algorithm>
#include <cmath>
#include <functional>
#include <limits>
#include <numeric>
#include <queue>
#include <utility>

#include "sim/catchments.hpp"
#include "sim/errors.hpp"
#include "sim/neighbours.hpp"
#include "sim/tree_sweep.hpp"

namespace lielow {
namespace {

constexpr float kNever = std::numeric_limits<float>::infinity();
constexpr float kNothing = std::numeric_limits<float>::quiet_NaN();
constexpr std::uint32_t kNone = std::numeric_limits<std::uint32_t>::max();

/// Between two nodes (catchments that reach a border) of the whole ground.
struct Edge {
    std::uint32_t a = 0;
    std::uint32_t b = 0;
    float height = 0;
};

struct BorderCell {
    std::uint32_t node = kNone;
    float height = kNothing;
};

/// All that the first pass keeps.
struct Borders {
    std::vector<TileLevels> tiles;
    std::vector<std::vector<BorderCell>> cells;  ///< of each tile, by border_index
    std::vector<Edge> edges;
    std::uint32_t nodes = 0;
};

/// `around` has a halo of one cell; (r, c) counts on the tile.
bool is_source(const Field<float>& around, const WaterSource& source, std::int32_t r, std::int32_t c) {
    if (!source.edges) return around(r + 1, c + 1) == source.low_point;
    return std::any_of(kNeighbours.begin(), kNeighbours.end(), [&](const Neighbour& n) {
        return std::isnan(around(r + 1 + n.down, c + 1 + n.across));
    });
}

Field<float> without_halo(const Field<float>& around) {
    Field<float> z(around.rows() - 2, around.cols() - 2);
    for (std::int32_t r = 0; r < z.rows(); ++r) {
        const auto row = around.row(r + 1);
        std::copy(row.begin() + 1, row.end() - 1, z.row(r).begin());
    }
    return z;
}

/// Lowest source cell of each catchment, m; +inf where it has none.
std::vector<float> source_levels(const Field<float>& around, const Catchments& catchments,
                                 const WaterSource& source) {
    std::vector<float> levels(catchments.pit.size(), kNever);
    for (std::int32_t r = 0; r < catchments.of_cell.rows(); ++r) {
        for (std::int32_t c = 0; c < catchments.of_cell.cols(); ++c) {
            const std::int32_t catchment = catchments.of_cell(r, c);
            if (catchment < 0 || !is_source(around, source, r, c)) continue;
            float& level = levels[static_cast<std::size_t>(catchment)];
            level = std::min(level, around(r + 1, c + 1));
        }
    }
    return levels;
}

/// The forest with all but the `node`s left out: passes are taken from the lowest up, and where two groups
/// meet that both hold a node, those two nodes are joined. Keeps the minimax between any two nodes.
void cut_down(const Catchments& catchments, std::vector<std::uint32_t> node, std::vector<Edge>& edges) {
    std::vector<std::uint32_t> order(catchments.tree.size());
    std::iota(order.begin(), order.end(), 0U);
    std::sort(order.begin(), order.end(), [&](std::uint32_t p, std::uint32_t q) {
        const float hp = catchments.tree[p].height;
        const float hq = catchments.tree[q].height;
        return hp != hq ? hp < hq : p < q;
    });
    std::vector<std::uint32_t> group(node.size());
    std::iota(group.begin(), group.end(), 0U);
    const auto root = [&](std::uint32_t g) {
        while (group[g] != g) g = group[g] = group[group[g]];
        return g;
    };
    for (const std::uint32_t p : order) {
        const Pass& pass = catchments.tree[p];
        const std::uint32_t a = root(static_cast<std::uint32_t>(pass.a));
        const std::uint32_t b = root(static_cast<std::uint32_t>(pass.b));
        if (node[a] != kNone && node[b] != kNone) edges.push_back({node[a], node[b], pass.height});
        group[b] = a;
        if (node[a] == kNone) node[a] = node[b];
    }
}

void take_tile(const Window& tile, const Field<float>& around, const WaterSource& source, Borders& out) {
    const Field<float> z = without_halo(around);
    const Catchments catchments = find_catchments(Grid{tile.rows, tile.cols}, z);
    const std::vector<float> own = source_levels(around, catchments, source);
    std::vector<std::uint32_t> node(own.size(), kNone);
    for (std::size_t c = 0; c < own.size(); ++c) node[c] = own[c] < kNever ? 0 : kNone;
    const auto catchment_at = [&](std::int32_t row, std::int32_t col) {
        return catchments.of_cell(row - tile.row, col - tile.col);
    };
    each_border_cell(tile, [&](std::int32_t row, std::int32_t col) {
        const std::int32_t c = catchment_at(row, col);
        if (c >= 0) node[static_cast<std::size_t>(c)] = 0;
    });
    TileLevels levels;
    for (std::size_t c = 0; c < node.size(); ++c) {
        if (node[c] == kNone) continue;
        node[c] = out.nodes++;
        levels.catchment.push_back(static_cast<std::int32_t>(c));
        levels.level.push_back(own[c]);
    }
    std::vector<BorderCell> border(border_size(tile));
    each_border_cell(tile, [&](std::int32_t row, std::int32_t col) {
        const std::int32_t c = catchment_at(row, col);
        if (c < 0) return;
        border[border_index(tile, row, col)] = {node[static_cast<std::size_t>(c)],
                                                z(row - tile.row, col - tile.col)};
    });
    cut_down(catchments, std::move(node), out.edges);
    out.tiles.push_back(std::move(levels));
    out.cells.push_back(std::move(border));
}

/// Joins every pair of neighbours on either side of a cut, from the one that comes first.
void join_borders(const TileCut& cut, Borders& out) {
    for (std::size_t t = 0; t < cut.count(); ++t) {
        const Window tile = cut.tile(t);
        each_border_cell(tile, [&](std::int32_t row, std::int32_t col) {
            const BorderCell here = out.cells[t][border_index(tile, row, col)];
            if (here.node == kNone) return;
            for (const Neighbour& n : kNeighbours) {
                const std::int32_t r = row + n.down;
                const std::int32_t c = col + n.across;
                if (!cut.grid().contains(r, c)) continue;
                const std::size_t other = cut.tile_of(r, c);
                if (other <= t) continue;
                const BorderCell there = out.cells[other][border_index(cut.tile(other), r, c)];
                if (there.node == kNone) continue;
                out.edges.push_back({here.node, there.node, std::max(here.height, there.height)});
            }
        });
    }
}

struct Step {
    std::uint32_t to;
    float height;
};

/// Priority-Flood over the nodes: the lowest level at which each joins a source.
std::vector<float> flood(std::vector<float> level, const std::vector<Edge>& edges) {
    std::vector<std::size_t> first(level.size() + 1, 0);
    for (const Edge& e : edges) {
        ++first[e.a];
        ++first[e.b];
    }
    std::partial_sum(first.begin(), first.end(), first.begin());
    std::vector<Step> steps(edges.size() * 2);
    for (const Edge& e : edges) {
        steps[--first[e.a]] = {e.b, e.height};
        steps[--first[e.b]] = {e.a, e.height};
    }
    using Entry = std::pair<float, std::uint32_t>;
    std::priority_queue<Entry, std::vector<Entry>, std::greater<>> open;
    for (std::uint32_t n = 0; n < level.size(); ++n) {
        if (level[n] < kNever) open.emplace(level[n], n);
    }
    while (!open.empty()) {
        const auto [reached, n] = open.top();
        open.pop();
        if (reached > level[n]) continue;
        for (std::size_t s = first[n]; s < first[n + 1]; ++s) {
            const float next = std::max(reached, steps[s].height);
            if (next >= level[steps[s].to]) continue;
            level[steps[s].to] = next;
            open.emplace(next, steps[s].to);
        }
    }
    return level;
}

}  // namespace

std::vector<TileLevels> tile_border_levels(const TileCut& cut, const ReadWindow<float>& read,
                                           const WaterSource& source) {
    Borders borders;
    for (std::size_t t = 0; t < cut.count(); ++t) {
        const Window tile = cut.tile(t);
        take_tile(tile, with_halo(cut.grid(), tile, 1, kNothing, read), source, borders);
    }
    join_borders(cut, borders);
    std::vector<float> level;
    for (const TileLevels& tile : borders.tiles)
        level.insert(level.end(), tile.level.begin(), tile.level.end());
    level = flood(std::move(level), borders.edges);
    auto from = level.begin();
    for (TileLevels& tile : borders.tiles) {
        std::copy_n(from, tile.level.size(), tile.level.begin());
        from += static_cast<std::ptrdiff_t>(tile.level.size());
    }
    return std::move(borders.tiles);
}

Field<float> finish_tile_levels(const Window& tile, const Field<float>& heights, const TileLevels& known) {
    const Catchments catchments = find_catchments(Grid{tile.rows, tile.cols}, heights);
    std::vector<float> level(catchments.pit.size(), kNever);
    for (std::size_t i = 0; i < known.level.size(); ++i)
        level[static_cast<std::size_t>(known.catchment[i])] = known.level[i];
    sweep_tree(catchments.tree, level, [](float& mine, float theirs, const Pass& pass) {
        mine = std::min(mine, std::max(pass.height, theirs));
    });
    Field<float> out(tile.rows, tile.cols);
#pragma omp parallel for schedule(dynamic, 65536)
    for (std::size_t cell = 0; cell < out.size(); ++cell) {
        const std::int32_t c = catchments.of_cell[cell];
        out[cell] = c < 0 ? kNothing : std::max(heights[cell], level[static_cast<std::size_t>(c)]);
    }
    return out;
}

float lowest_height(const TileCut& cut, const ReadWindow<float>& read) {
    float lowest = kNever;
    for (std::size_t t = 0; t < cut.count(); ++t) {
        const Field<float> z = with_halo(cut.grid(), cut.tile(t), 0, kNothing, read);
        for (const float height : z.all()) lowest = height < lowest ? height : lowest;
    }
    if (lowest == kNever) throw InputError("no cell of this ground has an elevation; give another DEM");
    return lowest;
}

}  // namespace lielow
