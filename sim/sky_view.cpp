// SPDX-License-Identifier: Apache-2.0
#include "sim/sky_view.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <string>
#include <vector>

#include "sim/errors.hpp"

namespace lielow {
namespace {

/// The ground turned so that lines run along its rows, and what has been summed over directions so far.
struct Layout {
    Layout(const Grid& shape, const Field<float>& height)
        : grid(shape), z(height), sum(shape.rows, shape.cols, 0.0F) {}
    Grid grid;
    const Field<float>& z;
    Field<float> sum;
};

Field<float> transposed(const Field<float>& from) {
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

/// Slope from the known neighbours before and after: central, one-sided, or 0.
float slope_between(float before, float here, float after, float spacing) {
    if (std::isnan(before)) return std::isnan(after) ? 0.0F : (after - here) / spacing;
    if (std::isnan(after)) return (here - before) / spacing;
    return 0.5F * (after - before) / spacing;
}

struct Slope {
    float x;  ///< rise per metre along the row
    float y;  ///< and down the rows
};

Slope slope_at(const Layout& ground, std::int32_t row, std::int32_t col) {
    const auto height = [&](std::int32_t j, std::int32_t i) {
        return ground.grid.contains(j, i) ? ground.z(j, i) : NAN;
    };
    const float here = ground.z(row, col);
    return {
        slope_between(height(row, col - 1), here, height(row, col + 1), static_cast<float>(ground.grid.dx)),
        slope_between(height(row - 1, col), here, height(row + 1, col), static_cast<float>(ground.grid.dy))};
}

/// Parallel lines that go `shear` rows down for every column. In the middle between the first and the last
/// column they pass through whole rows (or, diagonals, through cells' corners where there is no column in the
/// middle), so that mirrored ground has mirrored lines.
struct Lines {
    double step;    ///< m along a line from column to column
    float along_x;  ///< direction of the line: metres along the row and down the rows for each metre
    float along_y;
    std::int32_t first;  ///< row in the middle of the line above all cells, and of the last that has cells
    std::int32_t last;   ///< below it
    std::vector<std::int32_t> drop;  ///< whole rows that a line lies lower at a column, rounded down
    std::vector<float> part;         ///< and the rest, 0..1
};

Lines lines_across(const Grid& grid, double shear) {
    Lines lines;
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

/// One line's heights, and the tangents of its horizons towards higher and lower columns.
struct Profile {
    explicit Profile(std::int32_t cols)
        : z(static_cast<std::size_t>(cols)), ahead(z.size()), behind(z.size()) {}
    std::vector<float> z, ahead, behind;
};

/// Heights along the line; where only one of the two cells beside it is known, that one's. NaN past the
/// ground.
void sample_line(const Layout& ground, const Lines& lines, std::int32_t line, std::vector<float>& z) {
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

void trace_line(const Layout& ground, const Lines& lines, std::int32_t line, Profile& profile,
                std::vector<std::int32_t>& hull) {
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

/// The integrand over cos S: with t the tangent of the horizon's height, no lower than the ground's own
/// slope, g its rise in that direction: sin²H − g (H − sin H cos H).
float share_of_direction(float tangent, float rise) {
    const float t = std::max({tangent, rise, 0.0F});
    const float sine_squared = 1.0F / (1.0F + t * t);
    constexpr auto right_angle = static_cast<float>(std::numbers::pi / 2);
    return sine_squared - rise * (right_angle - std::atan(t) - t * sine_squared);
}

/// Adds both directions of the lines to the cells between two neighbouring ones. Every cell lies below just
/// one line (or on it) and above the next.
void add_cells(Layout& ground, const Lines& lines, std::int32_t line, const Profile& upper,
               const Profile& lower) {
    for (std::int32_t i = 0; i < ground.grid.cols; ++i) {
        const auto column = static_cast<std::size_t>(i);
        const float part = lines.part[column];
        const std::int32_t row = line + lines.drop[column] + (part > 0 ? 1 : 0);
        if (row < 0 || row >= ground.grid.rows || std::isnan(ground.z(row, i))) continue;
        const float weight = part > 0 ? 1.0F - part : 0.0F;
        const float ahead = upper.ahead[column] + weight * (lower.ahead[column] - upper.ahead[column]);
        const float behind = upper.behind[column] + weight * (lower.behind[column] - upper.behind[column]);
        const Slope slope = slope_at(ground, row, i);
        const float rise = lines.along_x * slope.x + lines.along_y * slope.y;
        ground.sum(row, i) += share_of_direction(ahead, rise) + share_of_direction(behind, -rise);
    }
}

void add_direction(Layout& ground, double shear) {
    const Lines lines = lines_across(ground.grid, shear);
    constexpr std::int32_t band = 32;
#pragma omp parallel for schedule(static)
    for (std::int32_t begin = lines.first; begin <= lines.last; begin += band) {
        Profile upper(ground.grid.cols);
        Profile lower(ground.grid.cols);
        std::vector<std::int32_t> hull(static_cast<std::size_t>(ground.grid.cols));
        trace_line(ground, lines, begin, upper, hull);
        for (std::int32_t line = begin; line < std::min(begin + band, lines.last + 1); ++line) {
            trace_line(ground, lines, line + 1, lower, hull);
            add_cells(ground, lines, line, upper, lower);
            std::swap(upper, lower);
        }
    }
}

void judge(const Grid& grid, const Field<float>& z, int directions) {
    if (z.rows() != grid.rows || z.cols() != grid.cols)
        throw InputError("sky view: the elevations don't have the grid's shape");
    if (directions < fewest_sky_directions || directions > most_sky_directions || directions % 2 != 0) {
        throw InputError("the sky's directions must be an even number from " +
                         std::to_string(fewest_sky_directions) + " to " +
                         std::to_string(most_sky_directions));
    }
}

/// The slope's cosine turns a share per map area into one per surface.
Field<float> finish(Layout&& along, const Field<float>& across, int directions, bool per_surface) {
    Field<float> out = std::move(along.sum);
    const auto count = static_cast<float>(directions);
#pragma omp parallel for schedule(static)
    for (std::int32_t j = 0; j < out.rows(); ++j) {
        for (std::int32_t i = 0; i < out.cols(); ++i) {
            float share = (out(j, i) + across(i, j)) / count;
            if (per_surface) {
                const Slope slope = slope_at(along, j, i);
                share /= std::sqrt(1.0F + slope.x * slope.x + slope.y * slope.y);
            }
            out(j, i) = std::isnan(along.z(j, i)) ? NAN : share;
        }
    }
    return out;
}

Field<float> view(const Grid& grid, const Field<float>& z, int directions, bool per_surface) {
    judge(grid, z, directions);
    const Field<float> turned = transposed(z);
    Layout along(grid, z);
    Layout across({grid.cols, grid.rows, grid.dy, grid.dx}, turned);
    for (int k = 0; k < directions / 2; ++k) {
        const double angle = 2 * std::numbers::pi * k / directions;
        const double cols = std::cos(angle) / grid.dx;  // cells for a metre that way
        const double rows = std::sin(angle) / grid.dy;
        constexpr double tie = 1e-12;  // rounding must not decide which way a diagonal is traced
        if (std::abs(std::abs(rows / cols) - 1) < tie) {
            add_direction(along, rows / cols > 0 ? 1 : -1);
        } else if (std::abs(cols) >= std::abs(rows)) {
            add_direction(along, rows / cols);
        } else {
            add_direction(across, cols / rows);
        }
    }
    return finish(std::move(along), across.sum, directions, per_surface);
}

}  // namespace

Field<float> sky_view(const Grid& grid, const Field<float>& z, int directions) {
    return view(grid, z, directions, true);
}

Field<float> sky_view_per_map_area(const Grid& grid, const Field<float>& z, int directions) {
    return view(grid, z, directions, false);
}

}  // namespace lielow
