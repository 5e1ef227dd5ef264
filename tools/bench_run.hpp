// SPDX-License-Identifier: Apache-2.0
// One run of all benchmarks, and what it found.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "tools/bench_machine.hpp"
#include "tools/bench_stack.hpp"
#include "tools/progress.hpp"

namespace lielow {

struct BenchRequest {
    bool quick = false;             ///< tiny sizes: shows that it works, measures nothing
    bool large = false;             ///< 4000 × 4000 cells too
    bool double_precision = false;  ///< besides single
};

struct StackRow {
    StackCase stack;
    StackSpeed speed;
    std::string skipped;  ///< why there is no speed; empty when there is
};

/// Rates stand in the order of `threads`.
struct BenchReport {
    BenchRequest request;
    BenchMachine machine;
    std::string instruction_set;  ///< of the solver's sweeps
    std::vector<int> threads;     ///< one, and all where there are more
    std::uint64_t triad_array_bytes = 0;
    std::vector<double> triad_elements_per_second;
    std::vector<StackRow> stack;
    std::uint64_t flood_cells = 0;
    std::vector<double> flood_cells_per_second;

    [[nodiscard]] double bytes_per_second(std::size_t place) const;
    /// Cell-sheet steps a second that memory lets through.
    [[nodiscard]] double limit(const StackRow& row, std::size_t place) const;
};

/// Throws Interrupted when the person has asked to stop.
BenchReport run_bench(const BenchRequest& request, Progress& progress);

}  // namespace lielow
