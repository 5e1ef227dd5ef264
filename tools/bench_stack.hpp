// SPDX-License-Identifier: Apache-2.0
// How fast the stack solver steps: a night's ladder of sheets over rough ground, every sheet present
// everywhere.
#pragma once

#include <cstdint>
#include <span>
#include <string_view>
#include <vector>

#include "sim/stack_parameters.hpp"
#include "sim/stack_traffic.hpp"
#include "tools/bench_clock.hpp"

namespace lielow {

/// An order of the scheme that can be measured.
struct BenchOrder {
    std::string_view name;
    SchemeOrder order;
    StackTraffic traffic;
};
std::span<const BenchOrder> bench_orders();

enum class BenchPrecision : std::uint8_t { single_precision, double_precision };

struct StackCase {
    BenchOrder order;
    BenchPrecision precision = BenchPrecision::single_precision;
    std::int32_t side = 0;  ///< cells
    int sheets = 0;

    [[nodiscard]] double word_bytes() const {
        return precision == BenchPrecision::single_precision ? sizeof(float) : sizeof(double);
    }
    [[nodiscard]] double cell_sheets() const { return static_cast<double>(side) * side * sheets; }
    /// That a cell-sheet step must move.
    [[nodiscard]] double bytes_per_step() const;
    /// That the solver's arrays take up.
    [[nodiscard]] double array_bytes() const;
};

struct StackSpeed {
    std::vector<double> steps_per_second;  ///< cell-sheet steps, for each number of threads asked for
    double present_share = 0;              ///< of the sheets' cells, thicker than 0.1 m after the last step
};

/// Throws RunError when the flow fails.
StackSpeed measure_stack(const StackCase& stack, std::span<const int> threads, const BenchEffort& effort);

}  // namespace lielow
