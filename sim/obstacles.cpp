// SPDX-License-Identifier: Apache-2.0
#include "sim/obstacles.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <numbers>

namespace lielow {
namespace {

/// What one obstacle has in one coarse cell.
struct Part {
    double length = 0;    ///< of the line; of an area, what it covers over its width, m
    double openness = 0;  ///< times length
    double area = 0;      ///< of an area, share of the cell
    bool outlined = false;
};
/// By cell number, so that sums run in a fixed order.
using Parts = std::map<std::size_t, Part>;

double openness_between(const ObstacleLine& line, double openness, double from, double to) {
    double mean = openness;
    for (const LineOpening& opening : line.openings) {
        const double common = std::min(to, opening.to_m) - std::max(from, opening.from_m);
        if (common > 0) mean += (opening.openness - openness) * common / (to - from);
    }
    return std::clamp(mean, openness, 1.0);
}

void add_line(const ObstacleLine& line, double openness, const Grid& coarse, Parts& parts) {
    for (const ChainLink& link : line_cells(line.points, coarse)) {
        Part& part = parts[coarse.index(link.row, link.col)];
        const double length = link.to_m - link.from_m;
        part.length += length;
        part.openness += length * openness_between(line, openness, link.from_m, link.to_m);
    }
}

std::size_t coarse_cell(std::uint32_t cell, const Grid& fine, const Blocks& blocks, const Grid& coarse) {
    const auto cols = static_cast<std::uint32_t>(fine.cols);
    return coarse.index(static_cast<std::int32_t>(cell / cols) / blocks.rows,
                        static_cast<std::int32_t>(cell % cols) / blocks.cols);
}

void add_area(const ObstacleArea& area, double openness, const Grid& fine, const Blocks& blocks,
              const Grid& coarse, Parts& parts) {
    const auto spread = [&](const CellShares& where, const auto& add) {
        for (std::size_t c = 0; c < where.cells.size(); ++c)
            add(parts[coarse_cell(where.cells[c], fine, blocks, coarse)],
                static_cast<double>(where.share[c]) * fine.cell_area());
    };
    spread(area.where, [&](Part& part, double covered) {
        part.length += covered / area.width_m;
        part.openness += openness * covered / area.width_m;
        part.area += covered / coarse.cell_area();
    });
    for (const AreaOpening& opening : area.openings) {
        spread(opening.where, [&](Part& part, double covered) {
            part.openness += (opening.openness - openness) * covered / area.width_m;
        });
    }
    for (const Polyline& ring : area.outline) {
        for (const ChainLink& link : line_cells(ring, coarse))
            parts[coarse.index(link.row, link.col)].outlined = true;
    }
}

bool fills_cell(const Obstacle& obstacle, const Part& part, const Grid& coarse) {
    if (obstacle.areas.empty()) return true;
    const double width = obstacle.areas.front().width_m;
    const bool narrow = width < 2 * std::max(coarse.dx, coarse.dy);
    return part.area >= 0.5 || (narrow && part.outlined);
}

void raise(std::size_t cell, double height, const Grid& coarse, NightSurface& surface) {
    if (surface.raised.empty()) surface.raised = Field<float>(coarse.rows, coarse.cols, 0.0F);
    surface.raised[cell] = std::max(surface.raised[cell], static_cast<float>(height));
}

void add_one(const Obstacle& obstacle, const Grid& fine, const Blocks& blocks, CanopySum& canopy,
             NightSurface& surface) {
    constexpr double closed = 1e-6;  // an openness that is nothing but rounding
    const Grid coarse = block_grid(fine, blocks);
    Parts parts;
    for (const ObstacleLine& line : obstacle.lines) add_line(line, obstacle.openness, coarse, parts);
    for (const ObstacleArea& area : obstacle.areas)
        add_area(area, obstacle.openness, fine, blocks, coarse, parts);
    for (const auto& [cell, part] : parts) {
        const double openness = part.length > 0 ? std::min(part.openness / part.length, 1.0) : 0.0;
        if (obstacle.is_solid() && openness < closed) {
            if (fills_cell(obstacle, part, coarse)) raise(cell, obstacle.height_m, coarse, surface);
            continue;
        }
        const double drag =
            loss_coefficient(obstacle.kind, openness) * part.length / (2 * coarse.cell_area());
        const auto cols = static_cast<std::size_t>(coarse.cols);
        canopy.add(static_cast<std::int32_t>(cell / cols), static_cast<std::int32_t>(cell % cols),
                   obstacle.height_m, drag);
    }
}

/// Points of the disc in each cell; the cell of the middle where it is missed by all.
std::map<std::size_t, int> disc_points(const Fan& fan, const Grid& grid) {
    constexpr int points = 8;  // a side of a cell
    std::map<std::size_t, int> inside;
    const auto first = [](double at) { return static_cast<std::int32_t>(std::max(std::floor(at), 0.0)); };
    const std::int32_t last_row =
        std::min(static_cast<std::int32_t>((fan.at.y + fan.radius_m) / grid.dy), grid.rows - 1);
    const std::int32_t last_col =
        std::min(static_cast<std::int32_t>((fan.at.x + fan.radius_m) / grid.dx), grid.cols - 1);
    for (std::int32_t j = first((fan.at.y - fan.radius_m) / grid.dy); j <= last_row; ++j) {
        for (std::int32_t i = first((fan.at.x - fan.radius_m) / grid.dx); i <= last_col; ++i) {
            int count = 0;
            for (int p = 0; p < points; ++p) {
                for (int q = 0; q < points; ++q) {
                    const double x = (i + (p + 0.5) / points) * grid.dx - fan.at.x;
                    const double y = (j + (q + 0.5) / points) * grid.dy - fan.at.y;
                    count += x * x + y * y <= fan.radius_m * fan.radius_m ? 1 : 0;
                }
            }
            if (count > 0) inside[grid.index(j, i)] = count;
        }
    }
    const auto row = static_cast<std::int32_t>(std::floor(fan.at.y / grid.dy));
    const auto col = static_cast<std::int32_t>(std::floor(fan.at.x / grid.dx));
    if (inside.empty() && grid.contains(row, col)) inside[grid.index(row, col)] = 1;
    return inside;
}

bool lies_inside(const Fan& fan, const Grid& grid) {
    return fan.at.x >= fan.radius_m && fan.at.y >= fan.radius_m &&
           fan.at.x + fan.radius_m <= grid.dx * grid.cols && fan.at.y + fan.radius_m <= grid.dy * grid.rows;
}

}  // namespace

double screen_loss_coefficient(double openness) {
    if (!(openness > 0)) return std::numeric_limits<double>::infinity();
    return (1 - openness) / (openness * openness);
}

double foliage_loss_coefficient(double openness) {
    constexpr double element_drag = 0.2;
    constexpr double least_openness = 0.01;
    return 2 * element_drag * -std::log(std::max(openness, least_openness));
}

double loss_coefficient(ObstacleKind kind, double openness) {
    return kind == ObstacleKind::tree_belt ? foliage_loss_coefficient(openness)
                                           : screen_loss_coefficient(openness);
}

void add_standing(const std::vector<Obstacle>& standing, const Grid& fine, const Blocks& blocks,
                  CanopySum& canopy, NightSurface& surface) {
    for (const Obstacle& obstacle : standing) add_one(obstacle, fine, blocks, canopy, surface);
}

void add_fans(const std::vector<Fan>& fans, const Grid& coarse, NightSurface& surface) {
    if (fans.empty()) return;
    if (surface.heat_w_m2.empty()) surface.heat_w_m2 = Field<float>(coarse.rows, coarse.cols, 0.0F);
    constexpr double points_of_cell = 64;
    for (const Fan& fan : fans) {
        const auto inside = disc_points(fan, coarse);
        double all = std::numbers::pi * fan.radius_m * fan.radius_m / coarse.cell_area() * points_of_cell;
        if (lies_inside(fan, coarse) || inside.size() == 1) {
            all = 0;
            for (const auto& [cell, count] : inside) all += count;
        }
        for (const auto& [cell, count] : inside)
            surface.heat_w_m2[cell] += static_cast<float>(fan.heat_w * count / (all * coarse.cell_area()));
    }
}

}  // namespace lielow
