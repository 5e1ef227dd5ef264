// SPDX-License-Identifier: Apache-2.0
#include "sim/passages.hpp"

#include <algorithm>
#include <cmath>

#include "sim/obstacles.hpp"

namespace lielow {
namespace {

struct Cut {
    std::int32_t row;
    std::int32_t col;
    double depth;  ///< by which the ground is lowered, m
};

/// The chain with corners filled in, so that air finds its way from face to face.
std::vector<ChainLink> way_along(const Polyline& line, const Grid& grid) {
    std::vector<ChainLink> way;
    for (const ChainLink& link : line_cells(line, grid)) {
        if (!way.empty() && way.back().row == link.row && way.back().col == link.col) {
            way.back().to_m = link.to_m;
            continue;
        }
        if (!way.empty() && way.back().row != link.row && way.back().col != link.col)
            way.push_back({way.back().row, link.col, link.from_m, link.from_m});
        way.push_back(link);
    }
    return way;
}

std::vector<Cut> cuts_of(const Passage& passage, const Field<double>& ground, const Grid& grid) {
    constexpr double least_depth = 0.01;  // m
    std::vector<Cut> cuts;
    const std::vector<ChainLink> way = way_along(passage.line, grid);
    if (way.size() < 3) return cuts;
    const double first = ground(way.front().row, way.front().col);
    const double last = ground(way.back().row, way.back().col);
    const double begin = way.front().to_m;
    const double length = std::max(way.back().from_m - begin, 1e-9);
    for (std::size_t n = 1; n + 1 < way.size(); ++n) {
        const double share = std::clamp((0.5 * (way[n].from_m + way[n].to_m) - begin) / length, 0.0, 1.0);
        const double depth = ground(way[n].row, way[n].col) - std::lerp(first, last, share);
        if (depth > least_depth) cuts.push_back({way[n].row, way[n].col, depth});
    }
    return cuts;
}

}  // namespace

std::vector<std::string> add_passages(const std::vector<Passage>& passages, const Field<double>& ground,
                                      const Grid& coarse, CanopySum& canopy, NightSurface& surface) {
    std::vector<std::string> idle;
    const double cell = std::min(coarse.dx, coarse.dy);
    for (const Passage& passage : passages) {
        const std::vector<Cut> cuts = cuts_of(passage, ground, coarse);
        if (cuts.empty()) {
            idle.push_back(passage.name);
            continue;
        }
        if (surface.raised.empty()) surface.raised = Field<float>(coarse.rows, coarse.cols, 0.0F);
        double deepest = 0;
        for (const Cut& cut : cuts) deepest = std::max(deepest, cut.depth);
        const double openness =
            std::min(1.0, passage.width_m / cell) * std::min(1.0, passage.height_m / deepest);
        const double drag = screen_loss_coefficient(openness) / (2 * cell * static_cast<double>(cuts.size()));
        for (const Cut& cut : cuts) {
            surface.raised(cut.row, cut.col) = static_cast<float>(-cut.depth);
            canopy.add(cut.row, cut.col, deepest, drag);
        }
    }
    return idle;
}

}  // namespace lielow
