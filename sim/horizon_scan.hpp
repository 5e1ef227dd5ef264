// SPDX-License-Identifier: Apache-2.0
// Horizons of every cell along straight lines across the grid, from upper convex hulls, in a number of
// operations that doesn't depend on how far they lie (Dozier, Bruno & Downey 1981, Computers & Geosciences 7,
// 145-151). Heights between cells are interpolated linearly. No ground rises beyond the grid.
#pragma once

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <utility>
#include <vector>

#include "sim/grid.hpp"

namespace lielow {

/// Ground whose lines run along its rows: as it is, or turned (`turned_ground`) for steeper directions.
struct LinedGround {
    Grid grid;
    const Field<float>& z;
};

/// Rows for columns.
Field<float> turned_ground(const Field<float>& from);

/// How a direction is traced: on the ground as it is or turned, with how much shear, and whether it leads
/// towards higher columns of that ground.
struct LineDirection {
    bool turned;
    double shear;
    bool ahead;
};

/// `angle` from the direction along the rows (0) towards the one down the rows (π/2).
LineDirection line_direction(const Grid& grid, double angle);

/// Parallel lines that go `shear` rows down for every column. In the middle between the first and the last
/// column they pass through whole rows (or, diagonals, through cells' corners where there is no column in the
/// middle), so that mirrored ground has mirrored lines.
struct HorizonLines {
    double step;    ///< m along a line from column to column
    float along_x;  ///< direction of the line: metres along the row and down the rows for each metre
    float along_y;
    std::int32_t first;  ///< row in the middle of the line above all cells, and of the last that has cells
    std::int32_t last;   ///< below it
    std::vector<std::int32_t> drop;  ///< whole rows that a line lies lower at a column, rounded down
    std::vector<float> part;         ///< and the rest, 0..1
};

HorizonLines lines_across(const Grid& grid, double shear);

/// One line's heights, and the tangents of its horizons towards higher and lower columns.
struct HorizonProfile {
    explicit HorizonProfile(std::int32_t cols)
        : z(static_cast<std::size_t>(cols)), ahead(z.size()), behind(z.size()) {}
    std::vector<float> z, ahead, behind;
};

/// One line's profile; `hull` is scratch, a number for each column.
void trace_line(const LinedGround& ground, const HorizonLines& lines, std::int32_t line,
                HorizonProfile& profile, std::vector<std::int32_t>& hull);

/// Visits the cells between two neighbouring lines. Every cell lies below just one line (or on it) and above
/// the next.
template <class Visit>
void visit_between(const LinedGround& ground, const HorizonLines& lines, std::int32_t line,
                   const HorizonProfile& upper, const HorizonProfile& lower, Visit visit) {
    for (std::int32_t i = 0; i < ground.grid.cols; ++i) {
        const auto column = static_cast<std::size_t>(i);
        const float part = lines.part[column];
        const std::int32_t row = line + lines.drop[column] + (part > 0 ? 1 : 0);
        if (row < 0 || row >= ground.grid.rows || std::isnan(ground.z(row, i))) continue;
        const float weight = part > 0 ? 1.0F - part : 0.0F;
        visit(row, i, upper.ahead[column] + weight * (lower.ahead[column] - upper.ahead[column]),
              upper.behind[column] + weight * (lower.behind[column] - upper.behind[column]));
    }
}

/// visit(row, column, ahead, behind) once for every known cell, with the tangents of its horizons towards
/// higher and lower columns along the lines, 0 where nothing rises. Threads share the cells.
template <class Visit>
void scan_horizons(const LinedGround& ground, const HorizonLines& lines, Visit visit) {
    constexpr std::int32_t band = 32;
#pragma omp parallel for schedule(static)
    for (std::int32_t begin = lines.first; begin <= lines.last; begin += band) {
        HorizonProfile upper(ground.grid.cols);
        HorizonProfile lower(ground.grid.cols);
        std::vector<std::int32_t> hull(static_cast<std::size_t>(ground.grid.cols));
        trace_line(ground, lines, begin, upper, hull);
        for (std::int32_t line = begin; line < std::min(begin + band, lines.last + 1); ++line) {
            trace_line(ground, lines, line + 1, lower, hull);
            visit_between(ground, lines, line, upper, lower, visit);
            std::swap(upper, lower);
        }
    }
}

}  // namespace lielow
