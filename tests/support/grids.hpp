// SPDX-License-Identifier: Apache-2.0
// Small helpers for grids in tests: writing them down, turning them round, comparing them.
#pragma once

#include <gtest/gtest.h>

#include <cmath>
#include <initializer_list>
#include <limits>
#include <utility>

#include "sim/grid.hpp"

namespace lielow::test {

inline constexpr float kNaN = std::numeric_limits<float>::quiet_NaN();

inline Field<float> grid_of(std::initializer_list<std::initializer_list<float>> rows) {
    Field<float> z(static_cast<std::int32_t>(rows.size()), static_cast<std::int32_t>(rows.begin()->size()));
    std::size_t cell = 0;
    for (const auto& row : rows) {
        for (const float value : row) z[cell++] = value;
    }
    return z;
}

inline Grid grid_over(const Field<float>& z, double cell_size = 1.0) {
    return {z.rows(), z.cols(), cell_size, cell_size};
}

/// The eight ways to lay a raster down: bit 0 mirrors left and right, bit 1 top and bottom, bit 2 swaps the
/// axes.
inline Field<float> turned(const Field<float>& z, int way) {
    const bool swap = (way & 4) != 0;
    Field<float> out(swap ? z.cols() : z.rows(), swap ? z.rows() : z.cols());
    for (std::int32_t r = 0; r < z.rows(); ++r) {
        for (std::int32_t c = 0; c < z.cols(); ++c) {
            std::int32_t to_row = (way & 2) != 0 ? z.rows() - 1 - r : r;
            std::int32_t to_col = (way & 1) != 0 ? z.cols() - 1 - c : c;
            if (swap) std::swap(to_row, to_col);
            out(to_row, to_col) = z(r, c);
        }
    }
    return out;
}

/// Equal value for value; NaN equals NaN.
inline ::testing::AssertionResult same(const Field<float>& a, const Field<float>& b) {
    if (a.rows() != b.rows() || a.cols() != b.cols()) return ::testing::AssertionFailure() << "shapes differ";
    for (std::size_t cell = 0; cell < a.size(); ++cell) {
        if (a[cell] == b[cell] || (std::isnan(a[cell]) && std::isnan(b[cell]))) continue;
        return ::testing::AssertionFailure() << "cell " << cell << ": " << a[cell] << " against " << b[cell];
    }
    return ::testing::AssertionSuccess();
}

}  // namespace lielow::test
