// SPDX-License-Identifier: Apache-2.0
// Small standing waves of two sheets under deep still air in a walled box. With h_k = H_k + a_k cos(πx/L)
// cos(ωt) the linear equations of docs/physics.md over flat ground,
//     ∂h_k/∂t = −H_k ∂u_k/∂x,  ∂u_1/∂t = −b_1 ∂(h_1 + h_2)/∂x,  ∂u_2/∂t = −∂(b_1 h_1 + b_2 h_2)/∂x,
// give c² as the eigenvalues of [[b_1 H_1, b_1 H_1], [b_1 H_2, b_2 H_2]], so that
//     c⁴ − (b_1 H_1 + b_2 H_2) c² + H_1 H_2 b_1 (b_2 − b_1) = 0
// (two-layer waves: Stokes 1847, Lamb 1932, Hydrodynamics, art. 231, from memory; here in the limit of a deep
// upper fluid, small differences of density and long waves).
#include <numbers>

#include "tests/cases/channel.hpp"

namespace lielow::cases {
namespace {

constexpr double length = 1000.0;
constexpr double b1 = 0.035;
constexpr double b2 = 0.075;
constexpr double thick1 = 20.0;
constexpr double thick2 = 10.0;
/// Small against H so that what is not linear stays below the grid's error.
constexpr double small = 1e-6;

double phase_speed(bool fast) {
    const double sum = b1 * thick1 + b2 * thick2;
    const double product = thick1 * thick2 * b1 * (b2 - b1);
    const double root = std::sqrt(sum * sum - 4 * product);
    // The slow root from the product, so that nothing cancels.
    const double fast_squared = 0.5 * (sum + root);
    return std::sqrt(fast ? fast_squared : product / fast_squared);
}

/// Amplitude of the lower sheet for that of the upper, from the first line of the eigenproblem.
double lower_amplitude(double c) {
    return (c * c - b1 * thick1) / (b1 * thick1);
}

struct Box {
    StackSolver<double> solver;
    int cells;
    [[nodiscard]] double shape(int i) const { return std::cos(std::numbers::pi * (i + 0.5) / cells); }
    /// Amplitude of the upper sheet's wave.
    [[nodiscard]] double amplitude() const {
        double sum = 0;
        for (int i = 0; i < cells; ++i) sum += (solver.thickness(0, 0, i) - thick1) * shape(i);
        return 2 * sum / (cells * thick1 * small);
    }
};

Box box(SchemeOrder order, int cells, double lower) {
    StackParameters p;
    p.order = order;
    p.buoyancy = {b1, b2};
    Box b{StackSolver<double>(Grid{1, cells, length / cells, 1.0}, Field<double>(1, cells, 0.0), p), cells};
    for (int i = 0; i < cells; ++i) {
        b.solver.set_thickness(0, 0, i, thick1 * (1 + small * b.shape(i)));
        b.solver.set_thickness(1, 0, i, thick2 + thick1 * small * lower * b.shape(i));
    }
    return b;
}

/// Phase speed from two passages of the wave through zero, half a period apart.
double measured_speed(Box& b, double c) {
    double crossing[2] = {0, 0};
    int found = 0;
    double before = b.amplitude();
    double time = 0;
    while (found < 2 && time < 4 * length / c) {
        b.solver.step(1e9);
        const double now = b.amplitude();
        if ((now > 0) != (before > 0)) {
            crossing[found++] = time + (b.solver.time() - time) * before / (before - now);
        }
        before = now;
        time = b.solver.time();
    }
    return length / (crossing[1] - crossing[0]);
}

Outcome run(SchemeOrder order, int cells, bool fast) {
    const double c = phase_speed(fast);
    const double lower = lower_amplitude(c);
    Box b = box(order, cells, lower);
    // Five eighths of a period: neither at rest nor at zero.
    const double time = 0.625 * 2 * length / c;
    b.solver.run_until(time);
    Outcome out{0, {}, {"x, m", "upper sheet, 10⁻⁶ H", {}, {}, {}, {}}};
    const double now = std::cos(std::numbers::pi * c / length * time);
    double scale = 0;
    for (int i = 0; i < cells; ++i) {
        const double h1 = (b.solver.thickness(0, 0, i) - thick1) / (thick1 * small);
        const double h2 = (b.solver.thickness(1, 0, i) - thick2) / (thick1 * small);
        out.error += std::abs(h1 - now * b.shape(i)) + std::abs(h2 - now * lower * b.shape(i));
        scale += (1 + std::abs(lower)) * std::abs(b.shape(i));
        out.profile.x.push_back((i + 0.5) * length / cells);
        out.profile.computed.push_back(h1);
        out.profile.exact.push_back(now * b.shape(i));
    }
    out.error /= scale;
    Box again = box(order, cells, lower);
    out.checks.push_back({"phase speed, relative", measured_speed(again, c) / c - 1, 0.002});
    return out;
}

}  // namespace

FlowCases internal_wave_cases() {
    const std::vector<int> grids{25, 50, 100, 200};
    const std::string norm = "thickness, L1 relative to the amplitude";
    const std::string source = "linear theory, derived in the case";
    return {
        {"internal_wave_fast",
         "two sheets, fast standing wave",
         source,
         norm,
         grids,
         {0.02, 0.9},
         {0.001, 1.8},
         [](SchemeOrder o, int n) { return run(o, n, true); }},
        {"internal_wave_slow",
         "two sheets, slow standing wave",
         source,
         norm,
         grids,
         {0.02, 0.9},
         {0.001, 1.8},
         [](SchemeOrder o, int n) { return run(o, n, false); }},
    };
}

}  // namespace lielow::cases
