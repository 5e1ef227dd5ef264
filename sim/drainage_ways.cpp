// SPDX-License-Identifier: Apache-2.0
#include "sim/drainage_ways.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <utility>

namespace lielow {
namespace {

/// How many way cells give to each cell.
Field<std::uint8_t> count_arms(const DrainDirections& directions, const Field<double>& area,
                               double least_m2) {
    Field<std::uint8_t> arms(directions.to.rows(), directions.to.cols(), 0);
    for (std::size_t cell = 0; cell < arms.size(); ++cell) {
        const std::size_t next = next_cell(directions, cell);
        if (area[cell] >= least_m2 && next != cell) ++arms[next];
    }
    return arms;
}

/// First cells of all ways, from the least upslope area on: a way's top has more than the tops of all that
/// run into it.
std::vector<std::uint32_t> tops_in_order(const Field<std::uint8_t>& arms, const Field<double>& area,
                                         double least_m2) {
    std::vector<std::uint32_t> tops;
    for (std::size_t cell = 0; cell < arms.size(); ++cell) {
        if (area[cell] >= least_m2 && arms[cell] != 1) tops.push_back(static_cast<std::uint32_t>(cell));
    }
    std::sort(tops.begin(), tops.end(), [&](std::uint32_t a, std::uint32_t b) {
        return area[a] != area[b] ? area[a] < area[b] : a < b;
    });
    return tops;
}

double step_m(const Grid& grid, std::uint8_t k) {
    return std::hypot(kNeighbours[k].down * grid.dy, kNeighbours[k].across * grid.dx);
}

DrainageWay follow(const Grid& grid, const DrainDirections& directions, const Field<double>& area,
                   const Field<std::uint8_t>& arms, std::uint32_t top) {
    DrainageWay way;
    std::size_t cell = top;
    way.cells.push_back(top);
    way.upslope_m2 = area[cell];
    for (std::size_t next = next_cell(directions, cell); next != cell; next = next_cell(directions, cell)) {
        way.upslope_m2 = area[cell];
        way.length_m += step_m(grid, directions.to[cell]);
        way.cells.push_back(static_cast<std::uint32_t>(next));
        cell = next;
        if (arms[cell] > 1) break;
        way.upslope_m2 = area[cell];
    }
    way.fall_m = static_cast<double>(directions.surface[top]) - static_cast<double>(directions.surface[cell]);
    way.width_m = bankfull_width_m(way.upslope_m2);
    return way;
}

/// Two ways of the same order make the next one higher.
void join_orders(std::vector<DrainageWay>& ways) {
    std::vector<int> highest(ways.size(), 0);
    std::vector<int> times(ways.size(), 0);
    for (std::size_t i = 0; i < ways.size(); ++i) {
        if (highest[i] > 0) ways[i].order = highest[i] + (times[i] > 1 ? 1 : 0);
        if (ways[i].into < 0) continue;
        const auto into = static_cast<std::size_t>(ways[i].into);
        if (ways[i].order > highest[into]) {
            highest[into] = ways[i].order;
            times[into] = 0;
        }
        times[into] += ways[i].order == highest[into] ? 1 : 0;
    }
}

}  // namespace

double bankfull_width_m(double upslope_m2) {
    return 2.70 * std::pow(upslope_m2 / 1e6, 0.352);
}

std::vector<DrainageWay> drainage_ways(const Grid& grid, const DrainDirections& directions,
                                       const Field<double>& area, double least_m2) {
    const Field<std::uint8_t> arms = count_arms(directions, area, least_m2);
    const std::vector<std::uint32_t> tops = tops_in_order(arms, area, least_m2);
    std::vector<DrainageWay> ways;
    std::vector<std::pair<std::uint32_t, std::int32_t>> number_of_top;
    for (const std::uint32_t top : tops) {
        number_of_top.emplace_back(top, static_cast<std::int32_t>(ways.size()));
        ways.push_back(follow(grid, directions, area, arms, top));
    }
    std::sort(number_of_top.begin(), number_of_top.end());
    for (DrainageWay& way : ways) {
        const std::uint32_t end = way.cells.back();
        if (arms[end] < 2 || way.cells.size() < 2) continue;
        way.into =
            std::lower_bound(number_of_top.begin(), number_of_top.end(), std::pair{end, std::int32_t{0}})
                ->second;
    }
    join_orders(ways);
    return ways;
}

Field<float> height_above_way(const DrainDirections& directions, const Field<double>& area, double least_m2) {
    constexpr float kNone = std::numeric_limits<float>::quiet_NaN();
    const Field<float>& z = directions.surface;
    // First the elevation of the way below each cell, then the height above it. Elevations may be anything,
    // so a second field tells which are known.
    Field<float> below(z.rows(), z.cols(), kNone);
    Field<std::uint8_t> known(z.rows(), z.cols(), 0);
    std::vector<std::size_t> passed;
    for (std::size_t start = 0; start < z.size(); ++start) {
        std::size_t cell = start;
        while (known[cell] == 0) {
            passed.push_back(cell);
            known[cell] = 1;
            if (area[cell] >= least_m2) {
                below[cell] = z[cell];
                break;
            }
            cell = next_cell(directions, cell);
        }
        const float found = below[cell];
        for (const std::size_t other : passed) below[other] = found;
        passed.clear();
    }
    for (std::size_t cell = 0; cell < z.size(); ++cell) below[cell] = z[cell] - below[cell];
    return below;
}

}  // namespace lielow
