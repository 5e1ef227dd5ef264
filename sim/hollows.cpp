// SPDX-License-Identifier: Apache-2.0
#include "sim/hollows.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>
#include <utility>

#include "sim/tree_sweep.hpp"

namespace lielow {
namespace {

constexpr float kNothing = std::numeric_limits<float>::quiet_NaN();

/// max(value, 0), exactly, without a branch: half the cells of rough ground are wet, which no processor
/// guesses.
template <class T>
T positive(T value) {
    return T{0.5} * (value + std::abs(value));
}

/// How water leaves a catchment. Among ways out at the same level the one with the fewest passes counts, so
/// that following it from catchment to catchment always ends outside, also where several passes are equally
/// high.
struct Exit {
    float level = std::numeric_limits<float>::infinity();
    std::uint32_t passes = 0;
    std::uint32_t cell = 0;  // of the next pass, or of the rim
};

std::vector<Exit> exits_of(const Catchments& catchments) {
    std::vector<Exit> exits(catchments.pit.size());
    for (std::size_t c = 0; c < exits.size(); ++c)
        exits[c] = {catchments.rim_height[c], 0, catchments.rim_cell[c]};
    sweep_tree(catchments.tree, exits, [](Exit& mine, const Exit& theirs, const Pass& pass) {
        const float level = std::max(pass.height, theirs.level);
        const std::uint32_t passes = theirs.passes + 1;
        if (level < mine.level || (level == mine.level && passes < mine.passes))
            mine = {level, passes, pass.cell};
    });
    return exits;
}

/// Gives every catchment that holds water the number of its hollow: catchments are one hollow where a pass
/// between them lies below the water. Returns how many there are.
std::size_t number_hollows(const Field<float>& z, const Catchments& catchments, Hollows& out) {
    const std::size_t count = catchments.pit.size();
    std::vector<std::uint8_t> first(count, 1);  // of its hollow, seen from the root
    for (const Pass& pass : catchments.tree) {
        const auto b = static_cast<std::size_t>(pass.b);
        if (pass.height < out.level_of_catchment[b]) first[b] = 0;
    }
    std::int32_t hollows = 0;
    out.hollow_of_catchment.assign(count, -1);
    for (std::size_t c = 0; c < count; ++c) {
        const bool wet = z[catchments.pit[c]] < out.level_of_catchment[c];
        if (wet && first[c] != 0) out.hollow_of_catchment[c] = hollows++;
    }
    for (const Pass& pass : catchments.tree) {
        const auto b = static_cast<std::size_t>(pass.b);
        if (first[b] == 0)
            out.hollow_of_catchment[b] = out.hollow_of_catchment[static_cast<std::size_t>(pass.a)];
    }
    return static_cast<std::size_t>(hollows);
}

/// Deepest cell, spill level and spill cell of every hollow.
void describe(const Field<float>& z, const Catchments& catchments, const std::vector<Exit>& exits,
              Hollows& out) {
    std::vector<std::uint32_t> passes(out.list.size(), std::numeric_limits<std::uint32_t>::max());
    for (std::size_t c = 0; c < exits.size(); ++c) {
        const std::int32_t number = out.hollow_of_catchment[c];
        if (number < 0) continue;
        const auto h = static_cast<std::size_t>(number);
        Hollow& hollow = out.list[h];
        const bool fresh = passes[h] == std::numeric_limits<std::uint32_t>::max();
        if (fresh || z[catchments.pit[c]] < z[hollow.pit_cell]) hollow.pit_cell = catchments.pit[c];
        if (exits[c].passes < passes[h]) {
            passes[h] = exits[c].passes;
            hollow.spill_cell = exits[c].cell;
        }
        hollow.spill_level_m = exits[c].level;
        hollow.depth_m = static_cast<double>(hollow.spill_level_m) - z[hollow.pit_cell];
    }
}

/// Water in one catchment. What the loop over all cells touches is kept together: 16 bytes.
struct Water {
    double volume = 0;  // per cell area
    float level = 0;
    std::uint32_t cells = 0;
};

/// Water in every hollow. Summed in the order of the cells, then of the catchments, so that the number of
/// threads doesn't matter.
void measure(const Grid& grid, const Field<float>& z, const Catchments& catchments, Hollows& out) {
    std::vector<Water> waters(catchments.pit.size());
    for (std::size_t c = 0; c < waters.size(); ++c) waters[c].level = out.level_of_catchment[c];
    for (std::size_t cell = 0; cell < z.size(); ++cell) {
        const std::int32_t c = catchments.of_cell[cell];
        if (c < 0) continue;
        Water& water = waters[static_cast<std::size_t>(c)];
        water.volume += positive(static_cast<double>(water.level) - static_cast<double>(z[cell]));
        water.cells += z[cell] < water.level ? 1 : 0;
    }
    for (std::size_t c = 0; c < waters.size(); ++c) {
        if (out.hollow_of_catchment[c] < 0) continue;
        Hollow& hollow = out.list[static_cast<std::size_t>(out.hollow_of_catchment[c])];
        hollow.volume_m3 += waters[c].volume * grid.cell_area();
        hollow.cells += waters[c].cells;
        hollow.area_m2 = static_cast<double>(hollow.cells) * grid.cell_area();
    }
}

void sort_by_volume(Hollows& out) {
    struct Rank {
        double volume;
        std::uint32_t pit;
        std::int32_t number;
    };
    std::vector<Rank> order;
    order.reserve(out.list.size());
    for (const Hollow& h : out.list) {
        order.push_back({h.volume_m3, h.pit_cell, static_cast<std::int32_t>(order.size())});
    }
    std::sort(order.begin(), order.end(), [](const Rank& p, const Rank& q) {
        return p.volume != q.volume ? p.volume > q.volume : p.pit < q.pit;
    });
    std::vector<Hollow> list;
    list.reserve(order.size());
    std::vector<std::int32_t> place(order.size());
    for (const Rank& rank : order) {
        place[static_cast<std::size_t>(rank.number)] = static_cast<std::int32_t>(list.size());
        list.push_back(out.list[static_cast<std::size_t>(rank.number)]);
    }
    out.list = std::move(list);
    for (std::int32_t& h : out.hollow_of_catchment) h = h < 0 ? h : place[static_cast<std::size_t>(h)];
}

}  // namespace

Hollows find_hollows(const Grid& grid, const Field<float>& z, const Catchments& catchments) {
    const std::vector<Exit> exits = exits_of(catchments);
    Hollows out;
    out.level_of_catchment.resize(exits.size());
    std::transform(exits.begin(), exits.end(), out.level_of_catchment.begin(),
                   [](const Exit& e) { return e.level; });
    out.list.resize(number_hollows(z, catchments, out));
    describe(z, catchments, exits, out);
    measure(grid, z, catchments, out);
    sort_by_volume(out);
    return out;
}

Field<float> hollow_depth(const Field<float>& z, const Catchments& catchments, const Hollows& hollows) {
    Field<float> depth(z.rows(), z.cols());
#pragma omp parallel for schedule(dynamic, 65536)
    for (std::size_t cell = 0; cell < z.size(); ++cell) {
        const std::int32_t c = catchments.of_cell[cell];
        const float level = c < 0 ? kNothing : hollows.level_of_catchment[static_cast<std::size_t>(c)];
        depth[cell] = c < 0 ? kNothing : positive(level - z[cell]);
    }
    return depth;
}

}  // namespace lielow
