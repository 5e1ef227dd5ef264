// SPDX-License-Identifier: Apache-2.0
// Exact water tables between parallel drains.
#pragma once

#include <cmath>
#include <numbers>

namespace lielow::test {

/// Quadrature of cos^(1/3) from 0 to theta, by Simpson's rule in a variable that tames its end at 90 degrees.
inline double integral_of_root_cosine(double theta) {
    constexpr int parts = 200;
    const double right = std::numbers::pi / 2;
    // theta = 90 degrees − v³
    const double from = std::cbrt(right - theta);
    const double to = std::cbrt(right);
    const auto f = [](double v) { return std::cbrt(std::sin(v * v * v)) * 3 * v * v; };
    double sum = f(from) + f(to);
    for (int i = 1; i < parts; ++i) sum += (i % 2 == 1 ? 4 : 2) * f(from + (to - from) * i / parts);
    return sum * (to - from) / (3 * parts);
}

/// Boussinesq (1904, J. Math. Pures Appl. 10:5-78): between drains at the restrictive layer, without
/// recharge, the water table keeps the shape f(x/L), f(0) = f(1) = 0, f(1/2) = 1, that solves
/// (f f')' = −λ f. Its integral (multiply by f f') gives, with f = cos^(2/3) θ,
/// |1/2 − x/L| = ½ ∫₀^θ cos^(1/3) / ∫₀^(π/2) cos^(1/3), and λ L² = 6 (⅔ ∫₀^(π/2) cos^(1/3))² = 4.46209.
inline double boussinesq_shape(double x_over_l) {
    const double aim = 2 * std::abs(0.5 - x_over_l) * integral_of_root_cosine(std::numbers::pi / 2);
    double low = 0;
    double high = std::numbers::pi / 2;
    for (int i = 0; i < 44; ++i) {
        const double middle = 0.5 * (low + high);
        (integral_of_root_cosine(middle) < aim ? low : high) = middle;
    }
    return std::pow(std::max(0.0, std::cos(0.5 * (low + high))), 2.0 / 3);
}
inline double boussinesq_constant() {
    const double i = 2.0 / 3 * integral_of_root_cosine(std::numbers::pi / 2);
    return 6 * i * i;
}

/// Height of the middle after time t, over that at t = 0.
inline double boussinesq_decay(double conductivity, double height, double porosity, double spacing,
                               double t) {
    return 1 / (1 + boussinesq_constant() * conductivity * height * t / (porosity * spacing * spacing));
}

}  // namespace lielow::test
