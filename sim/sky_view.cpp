// SPDX-License-Identifier: Apache-2.0
#include "sim/sky_view.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <string>

#include "sim/errors.hpp"
#include "sim/horizon_scan.hpp"

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

/// The integrand over cos S: with t the tangent of the horizon's height, no lower than the ground's own
/// slope, g its rise in that direction: sin²H − g (H − sin H cos H).
float share_of_direction(float tangent, float rise) {
    const float t = std::max({tangent, rise, 0.0F});
    const float sine_squared = 1.0F / (1.0F + t * t);
    constexpr auto right_angle = static_cast<float>(std::numbers::pi / 2);
    return sine_squared - rise * (right_angle - std::atan(t) - t * sine_squared);
}

/// Adds both directions of the lines to every cell.
void add_direction(Layout& ground, double shear) {
    const HorizonLines lines = lines_across(ground.grid, shear);
    scan_horizons(
        {ground.grid, ground.z}, lines, [&](std::int32_t row, std::int32_t col, float ahead, float behind) {
            const Slope slope = slope_at(ground, row, col);
            const float rise = lines.along_x * slope.x + lines.along_y * slope.y;
            ground.sum(row, col) += share_of_direction(ahead, rise) + share_of_direction(behind, -rise);
        });
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
    const Field<float> turned = turned_ground(z);
    Layout along(grid, z);
    Layout across({grid.cols, grid.rows, grid.dy, grid.dx}, turned);
    for (int k = 0; k < directions / 2; ++k) {
        const LineDirection direction = line_direction(grid, 2 * std::numbers::pi * k / directions);
        add_direction(direction.turned ? across : along, direction.shear);
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
