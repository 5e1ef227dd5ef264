// SPDX-License-Identifier: Apache-2.0
// How a night is cut into windows: what a window holds, and how many rows fit.
#include <omp.h>

#include <algorithm>
#include <cmath>
#include <string>

#include "sim/errors.hpp"
#include "sim/night_wind.hpp"
#include "sim/night_windows.hpp"
#include "sim/sheet_array.hpp"

namespace lielow {
namespace {

constexpr std::int32_t fewest_block_steps = 4;

/// Bytes; the same list stands in docs/tiles.md.
struct Needs {
    double whole = 0;    ///< whatever the windows
    double threads = 0;  ///< of all threads, besides
    double of_row = 0;   ///< a row that a window holds
    double in_store = 0;
};

Needs needs_of(const NightSetup& s, const NightPlan& plan) {
    using Array = SheetArray<float>;
    constexpr double word = sizeof(float);
    const double rows = plan.grid.rows;
    const double cols = plan.grid.cols;
    const double sheets = plan.sheets;
    const auto stride = static_cast<double>(Array::padded(plan.grid.cols));
    // Of the solver: sheet arrays, planes of one value a cell or face.
    constexpr double arrays = 9;
    constexpr double planes = 9;
    // Of the night: a window's own copies of what is planned and what is found, a value a cell; and the
    // coldest columns.
    constexpr double fields = 26;
    Needs n;
    n.of_row = word * (stride * (arrays * sheets + planes) + cols * (fields + sheets));
    // Elevation (double) and loss factor of all cells, shelter from each direction of the wind and, while it
    // is worked out, three planes more.
    const double directions = static_cast<double>(NightWind::directions(s));
    const double all = 3 + (directions > 0 ? directions + 3 : 0);
    const double scratch = omp_get_max_threads() * stride * (6 * sheets + 11);
    n.whole = word * rows * cols * all + 2 * Array::rim * n.of_row;
    n.threads = word * scratch;
    const double moving = 3 * sheets * stride * (rows + 1) + 4 * rows * cols;
    n.in_store = 2 * word * (moving + (sheets + 3) * rows * cols);
    return n;
}

std::string megabytes(double bytes) {
    return std::to_string(static_cast<std::int64_t>(std::ceil(bytes / 1e6))) + " MB";
}

/// Fewest rows that a window may have room for: for the shortest blocks, with half of it its own. Threads
/// take room, but shorten no block, so there it is their rows more; what is enough for the usual blocks
/// always is.
double fewest_rows(double rows_for_threads) {
    constexpr double shortest = 4 * (fewest_block_steps + 1);
    constexpr double usual = 2 * (usual_block_steps + 1) + 10;
    return std::min(shortest + rows_for_threads, usual);
}

[[noreturn]] void refuse_memory(const Needs& needs, const NightPlan& plan) {
    const double bytes =
        needs.whole + needs.threads + fewest_rows(needs.threads / needs.of_row) * needs.of_row;
    throw InputError("a night of " + std::to_string(plan.grid.cols) + " x " + std::to_string(plan.grid.rows) +
                     " cells on " + std::to_string(plan.sheets) + " sheets takes at least " +
                     megabytes(bytes) +
                     " of memory by windows; give it that much, or set a wider night.cell or fewer "
                     "night.sheets");
}

}  // namespace

void judge_windows(const NightSetup& s) {
    if (s.order != SchemeOrder::first)
        throw InputError("a night in second order can't be run by windows: take the first-order scheme");
}

WindowPlan plan_windows(const NightSetup& s, const NightPlan& plan, std::uint64_t memory_bytes) {
    judge_windows(s);
    const Needs needs = needs_of(s, plan);
    const double for_threads = needs.threads / needs.of_row;
    const double room = (static_cast<double>(memory_bytes) - needs.whole) / needs.of_row;
    const double fit = room - for_threads;
    const std::int32_t rows = plan.grid.rows;
    // The night's bits hang on the steps, so the number of threads has no say in them.
    constexpr double plenty = 4.0 * (usual_block_steps + 1);
    const std::int32_t steps = static_cast<std::int32_t>(std::clamp(room, 0.0, plenty)) / 4 - 1;
    WindowPlan windows{rows, std::max(steps, fewest_block_steps), 0,
                       static_cast<std::uint64_t>(needs.in_store)};
    std::int32_t held = rows;
    if (fit < rows) {
        if (fit < fewest_rows(for_threads)) refuse_memory(needs, plan);
        const std::int32_t beside = 2 * (windows.steps + 1);
        const std::int32_t own = static_cast<std::int32_t>(fit) - beside;
        const std::int32_t count = (rows + own - 1) / own;
        windows.rows = (rows + count - 1) / count;
        held = std::min(rows, windows.rows + beside);
    }
    windows.memory_bytes = static_cast<std::uint64_t>(needs.whole + needs.threads + held * needs.of_row);
    return windows;
}

}  // namespace lielow
