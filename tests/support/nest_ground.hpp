// SPDX-License-Identifier: Apache-2.0
// Farms cut out of wide ground, for tests of what a too small ground does to a night.
#pragma once

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <vector>

#include "sim/night_map.hpp"
#include "sim/night_nest.hpp"

namespace lielow::test {

/// Ground all known.
inline Ground known_ground(Field<float> z, double cell) {
    Ground ground;
    ground.grid = {z.rows(), z.cols(), cell, cell};
    ground.known = Field<std::uint8_t>(z.rows(), z.cols(), 1);
    ground.z = std::move(z);
    return ground;
}

/// Invented hills, m, `wide` m each way: ridges and valleys of 300 to 1300 m that fall by 2 % down the rows.
inline double hills(double x, double y) {
    return 260 - 0.015 * y + 7 * std::sin(x / 210 + 0.4 * std::sin(y / 330)) +
           4 * std::sin(y / 170 + x / 400 + 1.0) + 2 * std::sin(x / 83 - y / 71);
}

inline Ground hill_ground(int rows, int cols, double cell) {
    Field<float> z(rows, cols);
    for (int j = 0; j < rows; ++j) {
        for (int i = 0; i < cols; ++i)
            z(j, i) = static_cast<float>(hills((i + 0.5) * cell, (j + 0.5) * cell));
    }
    return known_ground(std::move(z), cell);
}

/// The square of `cells` cells in the middle of `wide`, its first corner on a multiple of `align`.
struct Cutout {
    Ground farm;
    std::int32_t first = 0;
};
inline Cutout cut_out(const Ground& wide, std::int32_t cells, std::int32_t align) {
    Cutout cut;
    cut.first = (wide.grid.rows - cells) / 2 / align * align;
    Field<float> z(cells, cells);
    for (std::int32_t j = 0; j < cells; ++j) {
        for (std::int32_t i = 0; i < cells; ++i) z(j, i) = wide.z(cut.first + j, cut.first + i);
    }
    cut.farm = known_ground(std::move(z), wide.grid.dx);
    return cut;
}

/// `wide` on cells `ratio` times as wide, around a cut-out of it.
inline Surround surround_of(const Ground& wide, const Cutout& cut, std::int32_t ratio) {
    const Field<double> means = block_means(wide, {ratio, ratio});
    Field<float> z(means.rows(), means.cols());
    for (std::size_t c = 0; c < z.size(); ++c) z[c] = static_cast<float>(means[c]);
    Surround surround{known_ground(std::move(z), ratio * wide.grid.dx),
                      {ratio, ratio},
                      cut.first / ratio,
                      cut.first / ratio};
    lay_farm(surround, cut.farm);
    return surround;
}

/// How much colder than the evening air at plant height, K, at the coldest.
inline Field<float> coldest(const Ground& ground, const NightSetup& s, const NightResult& night) {
    return map_deficit(ground,
                       IsothermSurfaces(ground, night.plan, night.scale, night.ground, night.coldest_height,
                                        &night.coldest_gradient),
                       night.scale, s.plant_height_m);
}

struct FieldError {
    double rms = 0;
    double most = 0;
    double bias = 0;
};

/// Over the inner `cells` cells square in the middle of the wide ground.
inline FieldError inner_error(const Field<float>& truth, const Field<float>& cut, std::int32_t first,
                              std::int32_t cells) {
    FieldError e;
    const std::int32_t start = (truth.rows() - cells) / 2;
    for (std::int32_t j = start; j < start + cells; ++j) {
        for (std::int32_t i = start; i < start + cells; ++i) {
            const double d =
                static_cast<double>(cut(j - first, i - first)) - static_cast<double>(truth(j, i));
            e.rms += d * d;
            e.bias += d;
            e.most = std::max(e.most, std::abs(d));
        }
    }
    const double n = static_cast<double>(cells) * cells;
    e.rms = std::sqrt(e.rms / n);
    e.bias /= n;
    return e;
}

}  // namespace lielow::test
