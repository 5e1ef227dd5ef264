// SPDX-License-Identifier: Apache-2.0
// Uneven ground and stacks at rest on it, for tests of the solver.
#pragma once

#include <cmath>
#include <cstdint>
#include <vector>

#include "sim/stack_solver.hpp"

namespace lielow {

/// A number in [0, 1) from three integers, the same on every machine.
inline double scatter(std::uint32_t a, std::uint32_t b, std::uint32_t seed) {
    std::uint32_t x = a * 0x9E3779B1U ^ (b + 0x7F4A7C15U) * 0x85EBCA77U ^ seed * 0xC2B2AE3DU;
    x ^= x >> 15U, x *= 0x2C1B3C6DU, x ^= x >> 12U, x *= 0x297A2D39U, x ^= x >> 15U;
    return x / 4294967296.0;
}

/// A bowl with knolls and cell-to-cell roughness, some 0 to `relief` m.
inline Field<double> rough_bowl(int rows, int cols, double relief, double roughness) {
    Field<double> z(rows, cols);
    for (int j = 0; j < rows; ++j) {
        for (int i = 0; i < cols; ++i) {
            const double x = 2.0 * (i + 0.5) / cols - 1;
            const double y = 2.0 * (j + 0.5) / rows - 1;
            const double knolls = 0.3 * std::cos(7 * x) * std::cos(6 * y);
            z(j, i) =
                relief * (0.5 * (x * x + y * y) + knolls + 0.3) +
                roughness * (scatter(static_cast<std::uint32_t>(i), static_cast<std::uint32_t>(j), 7) - 0.5);
        }
    }
    return z;
}

/// Fills the stack so that isotherm k lies level at `levels[k]` (falling with k); where the ground stands
/// higher it outcrops.
template <class Real>
void fill_level(StackSolver<Real>& solver, const Field<double>& z, const std::vector<double>& levels) {
    for (int j = 0; j < solver.grid().rows; ++j) {
        for (int i = 0; i < solver.grid().cols; ++i) {
            for (std::size_t k = 0; k < levels.size(); ++k) {
                const double upper = std::max(0.0, levels[k] - z(j, i));
                const double lower = k + 1 < levels.size() ? std::max(0.0, levels[k + 1] - z(j, i)) : 0.0;
                solver.set_thickness(static_cast<int>(k), j, i, static_cast<Real>(upper - lower));
            }
        }
    }
}

template <class Real>
double fastest(const StackSolver<Real>& solver) {
    double most = 0;
    for (int k = 0; k < solver.sheets(); ++k) {
        for (int j = 0; j <= solver.grid().rows; ++j) {
            for (int i = 0; i <= solver.grid().cols; ++i) {
                if (j < solver.grid().rows)
                    most = std::max(most, std::abs(static_cast<double>(solver.velocity_x(k, j, i))));
                if (i < solver.grid().cols)
                    most = std::max(most, std::abs(static_cast<double>(solver.velocity_y(k, j, i))));
            }
        }
    }
    return most;
}

}  // namespace lielow
