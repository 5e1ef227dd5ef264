// SPDX-License-Identifier: Apache-2.0
#include "sim/horizon_scan.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>

namespace lielow {
namespace {

/// Heights along the line; where only one of the two cells beside it is known, that one's. NaN past the
/// ground.
void sample_line(const LinedGround& ground, const HorizonLines& lines, std::int32_t line,
                 std::vector<float>& z) {
    for (std::int32_t i = 0; i < ground.grid.cols; ++i) {
        const auto column = static_cast<std::size_t>(i);
        const std::int32_t row = line + lines.drop[column];
        const float part = lines.part[column];
        const float above = row >= 0 && row < ground.grid.rows ? ground.z(row, i) : NAN;
        const float below = row + 1 >= 0 && row + 1 < ground.grid.rows ? ground.z(row + 1, i) : NAN;
        if (part == 0 || std::isnan(below)) {
            z[column] = above;
        } else {
            z[column] = std::isnan(above) ? below : above + part * (below - above);
        }
    }
}

/// Tangent of the horizon ahead of each point: the point touched on the upper convex hull of those ahead.
/// `at(k)` is the height k steps before the far end; `hull` is scratch.
template <class At, class Set>
void scan_horizon(std::int32_t points, float step, At at, Set set, std::vector<std::int32_t>& hull) {
    std::size_t size = 0;
    for (std::int32_t k = 0; k < points; ++k) {
        const float here = at(k);
        if (std::isnan(here)) {
            set(k, 0.0F);
            continue;
        }
        while (size >= 2) {
            const std::int32_t near = hull[size - 1];
            const std::int32_t far = hull[size - 2];
            const float to_near = (at(near) - here) * static_cast<float>(k - far);
            const float to_far = (at(far) - here) * static_cast<float>(k - near);
            if (to_near > to_far) break;
            --size;
        }
        const float rise = size == 0 ? 0.0F : at(hull[size - 1]) - here;
        set(k, rise > 0 ? rise / (static_cast<float>(k - hull[size - 1]) * step) : 0.0F);
        hull[size++] = k;
    }
}

}  // namespace

Field<float> turned_ground(const Field<float>& from) {
    constexpr std::int32_t tile = 32;
    Field<float> to(from.cols(), from.rows());
#pragma omp parallel for schedule(static)
    for (std::int32_t top = 0; top < from.rows(); top += tile) {
        const std::int32_t bottom = std::min(top + tile, from.rows());
        for (std::int32_t left = 0; left < from.cols(); left += tile) {
            const std::int32_t right = std::min(left + tile, from.cols());
            for (std::int32_t j = top; j < bottom; ++j) {
                for (std::int32_t i = left; i < right; ++i) to(i, j) = from(j, i);
            }
        }
    }
    return to;
}

LineDirection line_direction(const Grid& grid, double angle) {
    const double cols = std::cos(angle) / grid.dx;  // cells for a metre that way
    const double rows = std::sin(angle) / grid.dy;
    constexpr double tie = 1e-12;  // rounding must not decide which way a diagonal is traced
    if (std::abs(std::abs(rows / cols) - 1) < tie) return {false, rows / cols > 0 ? 1.0 : -1.0, cols > 0};
    if (std::abs(cols) >= std::abs(rows)) return {false, rows / cols, cols > 0};
    return {true, cols / rows, rows > 0};
}

HorizonLines lines_across(const Grid& grid, double shear) {
    HorizonLines lines;
    lines.step = std::hypot(grid.dx, shear * grid.dy);
    lines.along_x = static_cast<float>(grid.dx / lines.step);
    lines.along_y = static_cast<float>(shear * grid.dy / lines.step);
    const double middle = std::abs(shear) == 1 && grid.cols % 2 == 0 ? 0.5 : 0.0;
    for (std::int32_t i = 0; i < grid.cols; ++i) {
        const double down = middle + (i - 0.5 * (grid.cols - 1)) * shear;
        lines.drop.push_back(static_cast<std::int32_t>(std::floor(down)));
        lines.part.push_back(static_cast<float>(down - std::floor(down)));
    }
    const auto [least, most] = std::minmax(lines.drop.front(), lines.drop.back());
    lines.first = -1 - most;
    lines.last = grid.rows - 1 - least;
    return lines;
}

void trace_line(const LinedGround& ground, const HorizonLines& lines, std::int32_t line,
                HorizonProfile& profile, std::vector<std::int32_t>& hull) {
    sample_line(ground, lines, line, profile.z);
    const std::int32_t points = ground.grid.cols;
    const auto step = static_cast<float>(lines.step);
    float* z = profile.z.data();
    float* ahead = profile.ahead.data();
    float* behind = profile.behind.data();
    scan_horizon(
        points, step, [=](std::int32_t k) { return z[points - 1 - k]; },
        [=](std::int32_t k, float tangent) { ahead[points - 1 - k] = tangent; }, hull);
    scan_horizon(
        points, step, [=](std::int32_t k) { return z[k]; },
        [=](std::int32_t k, float tangent) { behind[k] = tangent; }, hull);
}

}  // namespace lielow
