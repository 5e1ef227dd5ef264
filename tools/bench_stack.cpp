// SPDX-License-Identifier: Apache-2.0
#include "tools/bench_stack.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "sim/stack_solver.hpp"
#include "tools/bench_ground.hpp"

namespace lielow {
namespace {

constexpr double cell = 10.0;     // m
constexpr float relief = 60.0F;   // m over some 1000 cells
constexpr double coldest = 20.0;  // K below the evening air, the lowest sheet of the ladder

/// Short, so that the state stays as it was laid out however many steps are timed; the work of a step doesn't
/// depend on its length.
constexpr double step_length = 0.02;  // s

StackParameters night_parameters(const StackCase& stack) {
    const double sheet_step = coldest / stack.sheets;
    StackParameters p;
    p.order = stack.order.order;
    p.buoyancy = night_buoyancy(stack.sheets, sheet_step, 283.15);
    p.drag_law = DragLaw::quadratic;
    p.drag_coefficient = 0.02;
    p.interface_drag = 0.002;
    p.momentum_mixing = 0.04;
    p.exchange = {true, 0.04, sheet_step, 0.5};
    return p;
}

/// Sheets of 2 m on the highest ground and 6 m on the lowest, flowing downhill at up to 1 m/s.
template <class Real>
void lay_out(StackSolver<Real>& solver, const Field<double>& z) {
    const auto [low, high] = std::minmax_element(z.all().begin(), z.all().end());
    const double deepening = 4.0 / (*high - *low);
    const auto downhill = [](double rise) {
        return static_cast<Real>(std::clamp(-10 * rise / cell, -1.0, 1.0));
    };
    for (std::int32_t j = 0; j < z.rows(); ++j) {
        for (int k = 0; k < solver.sheets(); ++k) {
            for (std::int32_t i = 0; i < z.cols(); ++i) {
                solver.set_thickness(k, j, i, static_cast<Real>(2.0 + deepening * (*high - z(j, i))));
                if (i > 0) solver.set_velocity_x(k, j, i, downhill(z(j, i) - z(j, i - 1)));
                if (j > 0) solver.set_velocity_y(k, j, i, downhill(z(j, i) - z(j - 1, i)));
            }
        }
    }
}

template <class Real>
double present_share(const StackSolver<Real>& solver) {
    const Grid& grid = solver.grid();
    std::size_t present = 0;
    for (std::int32_t j = 0; j < grid.rows; ++j) {
        for (int k = 0; k < solver.sheets(); ++k) {
            const Real* row = solver.thickness_row(k, j);
            present += static_cast<std::size_t>(
                std::count_if(row, row + grid.cols, [](Real thick) { return thick > Real(0.1); }));
        }
    }
    return static_cast<double>(present) / (static_cast<double>(grid.cells()) * solver.sheets());
}

Field<double> stack_ground(std::int32_t side) {
    const Field<float> z = rolling_ground(side, relief);
    Field<double> ground(side, side);
    std::copy(z.all().begin(), z.all().end(), ground.data());
    return ground;
}

template <class Real>
StackSpeed measure(const StackCase& stack, std::span<const int> threads, const BenchEffort& effort) {
    const Field<double> ground = stack_ground(stack.side);
    StackSolver<Real> solver({stack.side, stack.side, cell, cell}, ground, night_parameters(stack));
    solver.set_loss(0.012);
    lay_out(solver, ground);
    const int batch = std::max(1, static_cast<int>(effort.work / stack.cell_sheets()));
    const auto steps = [&] {
        for (int n = 0; n < batch; ++n) solver.step(step_length);
    };
    StackSpeed speed;
    for (const int number : threads) {
        const WithThreads scope(number);
        solver.step(step_length);  // brings the memory in
        speed.steps_per_second.push_back(batch * stack.cell_sheets() / best_seconds(effort, steps));
    }
    speed.present_share = present_share(solver);
    return speed;
}

}  // namespace

std::span<const BenchOrder> bench_orders() {
    static constexpr std::array orders{
        BenchOrder{"first", SchemeOrder::first, first_order_traffic},
        BenchOrder{"second", SchemeOrder::second, second_order_traffic},
    };
    return orders;
}

double StackCase::bytes_per_step() const {
    return word_bytes() * night_words_per_step(order.traffic, sheets);
}

double StackCase::array_bytes() const {
    return word_bytes() * (cell_sheets() * order.traffic.arrays +
                           static_cast<double>(side) * side * order.traffic.held_planes);
}

StackSpeed measure_stack(const StackCase& stack, std::span<const int> threads, const BenchEffort& effort) {
    return stack.precision == BenchPrecision::single_precision ? measure<float>(stack, threads, effort)
                                                               : measure<double>(stack, threads, effort);
}

}  // namespace lielow
