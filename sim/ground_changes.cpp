// SPDX-License-Identifier: Apache-2.0
#include "sim/ground_changes.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "sim/errors.hpp"

namespace lielow {
namespace {

using Corner = std::array<double, 2>;

double length_m(const Grid& grid, const Corner& a, const Corner& b) {
    return std::hypot((b[0] - a[0]) * grid.dx, (b[1] - a[1]) * grid.dy);
}

/// Nearest place on the line to the middle of a cell.
struct Nearest {
    double distance_m = std::numeric_limits<double>::infinity();
    double along_m = 0;
};

Nearest nearest_on(const Grid& grid, const std::vector<Corner>& line, double col, double row) {
    Nearest nearest;
    double before = 0;
    for (std::size_t i = 0; i + 1 < line.size(); ++i) {
        const double length = length_m(grid, line[i], line[i + 1]);
        const double ux = (line[i + 1][0] - line[i][0]) * grid.dx;
        const double uy = (line[i + 1][1] - line[i][1]) * grid.dy;
        const double px = (col - line[i][0]) * grid.dx;
        const double py = (row - line[i][1]) * grid.dy;
        const double t = length > 0 ? std::clamp((px * ux + py * uy) / (length * length), 0.0, 1.0) : 0.0;
        const double distance = std::hypot(px - t * ux, py - t * uy);
        if (distance < nearest.distance_m) nearest = {distance, before + t * length};
        before += length;
    }
    return nearest;
}

/// Every cell that the stretch runs through. Where it runs through a corner of the grid, all four cells that
/// meet there.
void add_crossed(const Grid& grid, const Corner& a, const Corner& b, std::vector<std::uint32_t>& cells) {
    std::vector<double> places{0.0, 1.0};
    for (std::size_t axis = 0; axis < 2; ++axis) {
        const auto [low, high] = std::minmax(a[axis], b[axis]);
        for (double at = std::ceil(low); at <= high && high > low; at += 1)
            places.push_back((at - a[axis]) / (b[axis] - a[axis]));
    }
    constexpr double aside = 1e-6;  // of a cell
    for (const double t : places) {
        for (const Corner& by : {Corner{-aside, -aside}, {-aside, aside}, {aside, -aside}, {aside, aside}}) {
            const double col = std::floor(a[0] + t * (b[0] - a[0]) + by[0]);
            const double row = std::floor(a[1] + t * (b[1] - a[1]) + by[1]);
            if (!(col >= 0 && col < grid.cols && row >= 0 && row < grid.rows)) continue;
            cells.push_back(static_cast<std::uint32_t>(
                grid.index(static_cast<std::int32_t>(row), static_cast<std::int32_t>(col))));
        }
    }
}

void add_within(const Grid& grid, const GroundChange& change, std::vector<std::uint32_t>& cells) {
    const double half = 0.5 * change.width_m;
    for (std::size_t i = 0; i + 1 < change.line.size(); ++i) {
        const std::vector<Corner> stretch{change.line[i], change.line[i + 1]};
        const auto [left, right] = std::minmax(stretch[0][0], stretch[1][0]);
        const auto [top, bottom] = std::minmax(stretch[0][1], stretch[1][1]);
        const auto index = [](double at, std::int32_t most) {
            return static_cast<std::int32_t>(std::clamp(std::floor(at), 0.0, static_cast<double>(most - 1)));
        };
        for (auto r = index(top - half / grid.dy, grid.rows); r <= index(bottom + half / grid.dy, grid.rows);
             ++r) {
            for (auto c = index(left - half / grid.dx, grid.cols);
                 c <= index(right + half / grid.dx, grid.cols); ++c) {
                if (nearest_on(grid, stretch, c + 0.5, r + 0.5).distance_m <= half)
                    cells.push_back(static_cast<std::uint32_t>(grid.index(r, c)));
            }
        }
    }
}

double ground_at(const Grid& grid, const Field<float>& z, const Corner& at, const std::string& name) {
    const bool inside = at[0] >= 0 && at[0] < grid.cols && at[1] >= 0 && at[1] < grid.rows;
    const auto row = inside ? static_cast<std::int32_t>(at[1]) : 0;
    const auto col = inside ? static_cast<std::int32_t>(at[0]) : 0;
    if (!inside || std::isnan(z(row, col)))
        throw InputError(name + " ends outside the ground; draw it from ground to ground");
    return z(row, col);
}

}  // namespace

std::vector<std::uint32_t> cells_along(const Grid& grid, const GroundChange& change) {
    if (change.line.empty()) return change.cells;
    std::vector<std::uint32_t> cells;
    for (std::size_t i = 0; i + 1 < change.line.size(); ++i)
        add_crossed(grid, change.line[i], change.line[i + 1], cells);
    add_within(grid, change, cells);
    std::sort(cells.begin(), cells.end());
    cells.erase(std::unique(cells.begin(), cells.end()), cells.end());
    return cells;
}

void change_ground(const Grid& grid, const GroundChange& change, Field<float>& z) {
    const std::vector<std::uint32_t> cells = cells_along(grid, change);
    if (change.kind == ChangeKind::bank || change.kind == ChangeKind::ditch) {
        const double by = change.kind == ChangeKind::bank ? change.height_m : -change.depth_m;
        for (const std::uint32_t cell : cells)
            z[cell] = static_cast<float>(static_cast<double>(z[cell]) + by);
        return;
    }
    const double upper = ground_at(grid, z, change.line.front(), change.name) - change.depth_m;
    const double lower = ground_at(grid, z, change.line.back(), change.name) - change.depth_m;
    if (lower > upper)
        throw InputError(change.name + " would run uphill; draw it from its upper end to its lower");
    double length = 0;
    for (std::size_t i = 0; i + 1 < change.line.size(); ++i)
        length += length_m(grid, change.line[i], change.line[i + 1]);
    for (const std::uint32_t cell : cells) {
        const auto cols = static_cast<std::uint32_t>(grid.cols);
        const double along = nearest_on(grid, change.line, cell % cols + 0.5, cell / cols + 0.5).along_m;
        const double bed = length > 0 ? upper + (lower - upper) * along / length : lower;
        if (static_cast<double>(z[cell]) > bed) z[cell] = static_cast<float>(bed);
    }
}

}  // namespace lielow
