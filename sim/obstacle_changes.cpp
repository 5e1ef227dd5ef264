// SPDX-License-Identifier: Apache-2.0
#include "sim/obstacle_changes.hpp"

#include <algorithm>
#include <cmath>
#include <iterator>
#include <utility>

namespace lielow {
namespace {

using Cells = std::vector<std::uint32_t>;

GroundChange along(const Polyline& points, const Grid& grid) {
    GroundChange change;
    for (const GroundPoint& p : points) change.line.push_back({p.x / grid.dx, p.y / grid.dy});
    return change;
}

/// The part of a line between two distances along it.
Polyline stretch(const Polyline& line, double from_m, double to_m) {
    Polyline part;
    double before = 0;
    for (std::size_t i = 0; i + 1 < line.size(); ++i) {
        const double length = std::hypot(line[i + 1].x - line[i].x, line[i + 1].y - line[i].y);
        const double begin = std::max(from_m, before);
        const double end = std::min(to_m, before + length);
        if (length > 0 && begin < end) {
            for (const double at : {begin, end}) {
                const double t = (at - before) / length;
                part.push_back(
                    {std::lerp(line[i].x, line[i + 1].x, t), std::lerp(line[i].y, line[i + 1].y, t)});
            }
        }
        before += length;
    }
    return part;
}

void append(Cells& cells, const Cells& more) {
    cells.insert(cells.end(), more.begin(), more.end());
}

void sort_once(Cells& cells) {
    std::sort(cells.begin(), cells.end());
    cells.erase(std::unique(cells.begin(), cells.end()), cells.end());
}

void add_line(const ObstacleLine& line, const Grid& grid, Cells& solid, Cells& open) {
    append(solid, cells_along(grid, along(line.points, grid)));
    for (const LineOpening& opening : line.openings) {
        if (opening.openness > 0)
            append(open, cells_along(grid, along(stretch(line.points, opening.from_m, opening.to_m), grid)));
    }
}

void add_area(const ObstacleArea& area, const Grid& grid, Cells& solid, Cells& open) {
    for (std::size_t c = 0; c < area.where.cells.size(); ++c) {
        if (area.where.share[c] >= 0.5F) solid.push_back(area.where.cells[c]);
    }
    if (area.width_m < 2 * std::max(grid.dx, grid.dy)) {
        for (const Polyline& ring : area.outline) append(solid, cells_along(grid, along(ring, grid)));
    }
    for (const AreaOpening& opening : area.openings) {
        if (opening.openness > 0) append(open, opening.where.cells);
    }
}

bool holds_water(const Obstacle& obstacle) {
    return obstacle.is_solid() &&
           (obstacle.kind == ObstacleKind::bank || obstacle.kind == ObstacleKind::wall);
}

GroundChange bank_of(const Obstacle& obstacle, const Grid& grid) {
    Cells solid;
    Cells open;
    for (const ObstacleLine& line : obstacle.lines) add_line(line, grid, solid, open);
    for (const ObstacleArea& area : obstacle.areas) add_area(area, grid, solid, open);
    sort_once(solid);
    sort_once(open);
    GroundChange bank{obstacle.name, ChangeKind::bank, obstacle.height_m};
    std::set_difference(solid.begin(), solid.end(), open.begin(), open.end(), std::back_inserter(bank.cells));
    return bank;
}

/// Nothing where an end lies outside the ground.
void add_culvert(const Passage& passage, const Grid& grid, const Field<float>& z,
                 std::vector<GroundChange>& changes) {
    GroundChange culvert = along(passage.line, grid);
    culvert.name = passage.name;
    culvert.kind = ChangeKind::culvert;
    const auto ground = [&](const std::array<double, 2>& at) {
        const auto row = static_cast<std::int32_t>(std::floor(at[1]));
        const auto col = static_cast<std::int32_t>(std::floor(at[0]));
        return grid.contains(row, col) ? z(row, col) : std::nanf("");
    };
    const float first = ground(culvert.line.front());
    const float last = ground(culvert.line.back());
    if (std::isnan(first) || std::isnan(last)) return;
    if (first < last) std::reverse(culvert.line.begin(), culvert.line.end());
    changes.push_back(std::move(culvert));
}

}  // namespace

std::vector<GroundChange> changes_by_obstacles(const Obstacles& obstacles, const Grid& grid,
                                               const Field<float>& z) {
    std::vector<GroundChange> changes;
    for (const Obstacle& obstacle : obstacles.standing) {
        if (!holds_water(obstacle)) continue;
        GroundChange bank = bank_of(obstacle, grid);
        if (!bank.cells.empty()) changes.push_back(std::move(bank));
    }
    for (const Passage& passage : obstacles.passages) add_culvert(passage, grid, z, changes);
    return changes;
}

}  // namespace lielow
