// SPDX-License-Identifier: Apache-2.0
#include "tools/bench_run.hpp"

#include <fmt/format.h>
#include <omp.h>

#include "sim/stack_sweep.hpp"
#include "tools/bench_flood.hpp"
#include "tools/bench_ground.hpp"
#include "tools/bench_triad.hpp"

namespace lielow {
namespace {

constexpr double mebi = 1024.0 * 1024.0;

/// Arrays this many times the last-level caches: what stays in them from one round to the next doesn't count.
constexpr std::uint64_t beyond_cache = 4;

struct Sizes {
    BenchEffort effort;
    std::vector<std::int32_t> stack_sides;
    std::int32_t flood_side = 2000;
};

Sizes sizes_of(const BenchRequest& request) {
    if (request.quick) return {{0.005, 1, 2e4}, {50, 100}, 200};
    if (request.large) return {{}, {250, 1000, 4000}, 2000};
    return {{}, {250, 1000}, 2000};
}

std::vector<StackCase> stack_cases(const BenchRequest& request, const Sizes& sizes) {
    std::vector<BenchPrecision> precisions{BenchPrecision::single_precision};
    if (request.double_precision) precisions.push_back(BenchPrecision::double_precision);
    std::vector<StackCase> cases;
    for (const BenchPrecision precision : precisions) {
        for (const BenchOrder& order : bench_orders()) {
            for (const std::int32_t side : sizes.stack_sides) {
                for (const int sheets : {1, 4, 8, 12}) cases.push_back({order, precision, side, sheets});
            }
        }
    }
    return cases;
}

StackRow stack_row(const StackCase& stack, const BenchReport& report, const BenchEffort& effort) {
    StackRow row{stack, {}, {}};
    // Besides its arrays a run holds the ground in double precision, twice while it is made.
    const double needed = stack.array_bytes() + 16.0 * stack.side * stack.side;
    const double free = 0.9 * static_cast<double>(report.machine.free_bytes);
    if (report.machine.free_bytes > 0 && needed > free) {
        row.skipped =
            fmt::format("needs {:.0f} MiB of memory, {:.0f} MiB are free", needed / mebi, free / mebi);
        return row;
    }
    row.speed = measure_stack(stack, report.threads, effort);
    return row;
}

void measure_memory(BenchReport& report, const Sizes& sizes) {
    constexpr std::uint64_t small = 1U << 20U;
    report.triad_array_bytes = report.request.quick ? small : beyond_cache * report.machine.last_cache_bytes;
    for (const int threads : report.threads) {
        report.triad_elements_per_second.push_back(
            triad_elements_per_second(report.triad_array_bytes / sizeof(double), threads, sizes.effort));
    }
}

void measure_flood(BenchReport& report, const Sizes& sizes) {
    const Field<float> z = rolling_ground(sizes.flood_side, 60.0F);
    report.flood_cells = z.size();
    for (const int threads : report.threads)
        report.flood_cells_per_second.push_back(flood_cells_per_second(z, threads, sizes.effort));
}

}  // namespace

double BenchReport::bytes_per_second(std::size_t place) const {
    return triad_elements_per_second.at(place) * triad_bytes_per_element;
}

double BenchReport::limit(const StackRow& row, std::size_t place) const {
    return bytes_per_second(place) / row.stack.bytes_per_step();
}

BenchReport run_bench(const BenchRequest& request, Progress& progress) {
    const Sizes sizes = sizes_of(request);
    BenchReport report;
    report.request = request;
    report.machine = this_machine();
    report.instruction_set = sweep_functions<float>().instruction_set;
    report.threads = {1};
    if (omp_get_max_threads() > 1) report.threads.push_back(omp_get_max_threads());
    progress.begin("memory");
    measure_memory(report, sizes);
    progress.begin("stack of sheets");
    const std::vector<StackCase> cases = stack_cases(request, sizes);
    for (const StackCase& stack : cases) {
        report.stack.push_back(stack_row(stack, report, sizes.effort));
        progress.at(static_cast<double>(report.stack.size()) / static_cast<double>(cases.size()));
    }
    progress.begin("flood picture");
    measure_flood(report, sizes);
    progress.end();
    return report;
}

}  // namespace lielow
