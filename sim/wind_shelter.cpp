// SPDX-License-Identifier: Apache-2.0
#include "sim/wind_shelter.hpp"

#include <cmath>
#include <numbers>

#include "sim/errors.hpp"
#include "sim/horizon_scan.hpp"

namespace lielow {
namespace {

constexpr double degree = std::numbers::pi / 180;

/// Adds `weight` times the tangent of the horizon towards `from_rad` to `sum`.
void add_horizon(const Grid& grid, const Field<float>& z, const Field<float>& turned, double from_rad,
                 float weight, Field<float>& sum) {
    // North lies up the rows, east along them.
    const LineDirection line = line_direction(grid, std::atan2(-std::cos(from_rad), std::sin(from_rad)));
    const LinedGround ground =
        line.turned ? LinedGround{{grid.cols, grid.rows, grid.dy, grid.dx}, turned} : LinedGround{grid, z};
    scan_horizons(ground, lines_across(ground.grid, line.shear),
                  [&](std::int32_t j, std::int32_t i, float ahead, float behind) {
                      float& here = line.turned ? sum(i, j) : sum(j, i);
                      here += weight * (line.ahead ? ahead : behind);
                  });
}

/// Mean tangent of the horizons in a fan round `from_rad`.
Field<float> fan_slope(const Grid& grid, const Field<float>& z, const Field<float>& turned, double from_rad) {
    constexpr int beside = 3;
    constexpr double apart = 5 * degree;
    Field<float> sum(grid.rows, grid.cols, 0.0F);
    for (int k = -beside; k <= beside; ++k)
        add_horizon(grid, z, turned, from_rad + k * apart, 1.0F / (2 * beside + 1), sum);
    return sum;
}

void judge(const Grid& grid, const Field<float>& z) {
    if (z.rows() != grid.rows || z.cols() != grid.cols)
        throw InputError("wind shelter: the elevations don't have the grid's shape");
}

}  // namespace

Field<float> upwind_slope(const Grid& grid, const Field<float>& z, double from_rad) {
    judge(grid, z);
    Field<float> slope = fan_slope(grid, z, turned_ground(z), from_rad);
    for (std::size_t c = 0; c < slope.size(); ++c) {
        if (std::isnan(z[c])) slope[c] = NAN;
    }
    return slope;
}

double sheltered_share(double tangent) {
    return 1 - std::atan(17 * tangent) / (100 * degree);
}

Field<float> wind_share(const Grid& grid, const Field<float>& z, double from_rad) {
    judge(grid, z);
    const Field<float> turned = turned_ground(z);
    const int directions = std::isnan(from_rad) ? 16 : 1;
    Field<float> share(grid.rows, grid.cols, 0.0F);
    for (int k = 0; k < directions; ++k) {
        const double from = directions > 1 ? 2 * std::numbers::pi * k / directions : from_rad;
        const Field<float> slope = fan_slope(grid, z, turned, from);
        for (std::size_t c = 0; c < share.size(); ++c)
            share[c] += static_cast<float>(sheltered_share(static_cast<double>(slope[c])) / directions);
    }
    return share;
}

}  // namespace lielow
