// SPDX-License-Identifier: Apache-2.0
// Made-up ground for tests and benchmarks. Every draw is a raw std::mt19937 number scaled by hand, because
// the standard fixes the engine's numbers but not those of its distributions: the same ground on every
// machine.
#pragma once

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <random>
#include <vector>

#include "sim/grid.hpp"

namespace lielow::test {

/// Uniform in [0, 1), a multiple of 2⁻²⁴ so that float holds it exactly.
inline float unit_draw(std::mt19937& engine) {
    return static_cast<float>(engine() >> 8U) * 0x1p-24F;
}

/// Elevation of z(x, y), x = column · dx, y = row · dy in m, at cell centres counted from (0, 0).
template <class Function>
Field<float> from_function(const Grid& grid, Function z) {
    Field<float> field(grid.rows, grid.cols);
    for (std::int32_t r = 0; r < grid.rows; ++r) {
        for (std::int32_t c = 0; c < grid.cols; ++c)
            field(r, c) = static_cast<float>(z(c * grid.dx, r * grid.dy));
    }
    return field;
}

/// A plane falling by `fall_x` m a cell along the row and `fall_y` m a cell down the column.
inline Field<float> plane(std::int32_t rows, std::int32_t cols, double top, double fall_x, double fall_y) {
    return from_function({rows, cols}, [=](double x, double y) { return top - fall_x * x - fall_y * y; });
}

/// A round bowl, lowest in the middle, rising by `rise` m over the half width.
inline Field<float> bowl(std::int32_t rows, std::int32_t cols, double bottom, double rise) {
    const double y0 = 0.5 * (rows - 1);
    const double x0 = 0.5 * (cols - 1);
    const double scale = std::max({x0, y0, 1.0});
    return from_function({rows, cols}, [=](double x, double y) {
        return bottom + rise * ((x - x0) * (x - x0) + (y - y0) * (y - y0)) / (scale * scale);
    });
}

/// Independent heights, uniform in [0, relief).
inline Field<float> noise(std::int32_t rows, std::int32_t cols, std::uint32_t seed, float relief = 1.0F) {
    std::mt19937 engine(seed);
    Field<float> z(rows, cols);
    for (float& value : z.all()) value = relief * unit_draw(engine);
    return z;
}

/// Adds one octave of value noise: random heights every `spacing` cells, bilinear between.
inline void add_octave(Field<float>& z, std::int32_t spacing, float relief, std::uint32_t seed) {
    const std::int32_t knots = z.cols() / spacing + 2;
    std::mt19937 engine(seed);
    std::vector<float> upper(static_cast<std::size_t>(knots));
    std::vector<float> lower(upper.size());
    const auto draw = [&](std::vector<float>& line) {
        for (float& value : line) value = relief * (unit_draw(engine) - 0.5F);
    };
    draw(lower);
    for (std::int32_t r = 0; r < z.rows(); ++r) {
        if (r % spacing == 0) {
            upper.swap(lower);
            draw(lower);
        }
        const float down = static_cast<float>(r % spacing) / static_cast<float>(spacing);
        float* row = z.row(r).data();
        for (std::int32_t knot = 0; knot * spacing < z.cols(); ++knot) {
            const auto k = static_cast<std::size_t>(knot);
            const float west = upper[k] + down * (lower[k] - upper[k]);
            const float east = upper[k + 1] + down * (lower[k + 1] - upper[k + 1]);
            const std::int32_t end = std::min(spacing, z.cols() - knot * spacing);
            for (std::int32_t c = 0; c < end; ++c) {
                row[knot * spacing + c] +=
                    west + static_cast<float>(c) / static_cast<float>(spacing) * (east - west);
            }
        }
    }
}

/// Fractal ground: octaves of value noise whose relief shrinks as (spacing)^roughness, coarsest `coarsest`
/// cells with `relief` m. 0.8 looks like rolling farm land; lower is rougher.
inline Field<float> fractal(std::int32_t rows, std::int32_t cols, std::uint32_t seed, float relief = 60.0F,
                            double roughness = 0.8, std::int32_t coarsest = 1024) {
    Field<float> z(rows, cols, 0.0F);
    for (std::int32_t spacing = coarsest; spacing >= 1; spacing /= 2) {
        const double share = std::pow(static_cast<double>(spacing) / coarsest, roughness);
        add_octave(z, spacing, relief * static_cast<float>(share),
                   seed + static_cast<std::uint32_t>(spacing));
    }
    return z;
}

/// Rounds heights to multiples of `step`: plateaus and ties everywhere.
inline void quantise(Field<float>& z, float step) {
    for (float& value : z.all()) value = std::floor(value / step) * step;
}

/// Makes about `share` of the cells NaN.
inline void punch(Field<float>& z, double share, std::uint32_t seed) {
    std::mt19937 engine(seed);
    for (float& value : z.all()) {
        if (unit_draw(engine) < share) value = std::nanf("");
    }
}

}  // namespace lielow::test
