// SPDX-License-Identifier: Apache-2.0
#include "sim/upslope.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

namespace lielow {
namespace {

/// Calls give(cell, share) for each cell that `cell` sends water to.
template <class Give>
void each_receiver(const Grid& grid, const DrainDirections& directions, FlowSplit split, std::size_t cell,
                   Give give) {
    if (directions.to[cell] >= 8) return;
    if (split != FlowSplit::single) {
        const auto share = flow_shares(grid, surroundings(directions.surface, cell), split);
        bool any = false;
        for (std::uint8_t k = 0; k < 8; ++k) {
            if (!(share[k] > 0)) continue;
            any = true;
            give(neighbour_cell(grid.rows, grid.cols, cell, k), share[k]);
        }
        if (any) return;
    }
    give(next_cell(directions, cell), 1.0);
}

Field<std::uint8_t> count_givers(const Grid& grid, const DrainDirections& directions, FlowSplit split) {
    Field<std::uint8_t> givers(grid.rows, grid.cols, 0);
    for (std::size_t cell = 0; cell < givers.size(); ++cell)
        each_receiver(grid, directions, split, cell, [&](std::size_t n, double) { ++givers[n]; });
    return givers;
}

}  // namespace

Field<double> upslope_area(const Grid& grid, const DrainDirections& directions, FlowSplit split) {
    // From the tops down, a cell once all that give to it are done (Kahn 1962): the order, and with it every
    // rounding, hangs on nothing but the ground.
    Field<std::uint8_t> waits_for = count_givers(grid, directions, split);
    Field<double> area(grid.rows, grid.cols, grid.cell_area());
    std::vector<std::size_t> ready;
    for (std::size_t start = 0; start < area.size(); ++start) {
        if (directions.to[start] == kNoGround) area[start] = std::numeric_limits<double>::quiet_NaN();
        constexpr std::uint8_t kStarted = 255;
        if (waits_for[start] != 0 || directions.to[start] == kNoGround) continue;
        waits_for[start] = kStarted;
        ready.push_back(start);
        while (!ready.empty()) {
            const std::size_t cell = ready.back();
            ready.pop_back();
            each_receiver(grid, directions, split, cell, [&](std::size_t n, double share) {
                area[n] += share * area[cell];
                if (--waits_for[n] != 0) return;
                waits_for[n] = kStarted;
                ready.push_back(n);
            });
        }
    }
    return area;
}

Field<float> wetness_index(const Grid& grid, const DrainDirections& directions, const Field<double>& area) {
    Field<float> index(grid.rows, grid.cols);
    const double width = std::sqrt(grid.cell_area());
#pragma omp parallel for schedule(dynamic, 65536)
    for (std::size_t cell = 0; cell < index.size(); ++cell) {
        const double slope = steepest_facet(grid, surroundings(directions.surface, cell)).slope;
        index[cell] = static_cast<float>(std::log(area[cell] / width / std::max(slope, least_slope)));
    }
    return index;
}

Field<std::uint8_t> source_of(const DrainDirections& directions, std::span<const std::uint32_t> cells) {
    constexpr std::uint8_t kNotKnown = 2;
    Field<std::uint8_t> inside(directions.to.rows(), directions.to.cols(), kNotKnown);
    for (const std::uint32_t cell : cells) inside[cell] = 1;
    std::vector<std::size_t> way;
    for (std::size_t start = 0; start < inside.size(); ++start) {
        std::size_t cell = start;
        while (inside[cell] == kNotKnown) {
            way.push_back(cell);
            inside[cell] = 0;  // until the end of the way says otherwise
            cell = next_cell(directions, cell);
            if (cell == way.back()) break;
        }
        const std::uint8_t answer = inside[cell];
        for (const std::size_t passed : way) inside[passed] = answer;
        way.clear();
    }
    return inside;
}

}  // namespace lielow
