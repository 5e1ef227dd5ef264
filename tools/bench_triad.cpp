// SPDX-License-Identifier: Apache-2.0
#include "tools/bench_triad.hpp"

#include <cstdint>
#include <memory>

#include "sim/errors.hpp"

namespace lielow {

double triad_elements_per_second(std::size_t elements, int threads, const BenchEffort& effort) {
    const auto a = std::make_unique_for_overwrite<double[]>(elements);
    const auto b = std::make_unique_for_overwrite<double[]>(elements);
    const auto c = std::make_unique_for_overwrite<double[]>(elements);
    double* __restrict to = a.get();
    double* __restrict from = b.get();
    double* __restrict scaled = c.get();
    const auto n = static_cast<std::int64_t>(elements);
    // The thread that first touches a page decides which memory it comes from: the one that will use it.
#pragma omp parallel for num_threads(threads) schedule(static)
    for (std::int64_t i = 0; i < n; ++i) {
        to[i] = 0;
        from[i] = 2;
        scaled[i] = 1;
    }
    constexpr double factor = 3;
    const double seconds = best_seconds(effort, [=] {
#pragma omp parallel for simd num_threads(threads) schedule(static)
        for (std::int64_t i = 0; i < n; ++i) to[i] = from[i] + factor * scaled[i];
    });
    for (const std::size_t i : {std::size_t{0}, elements / 2, elements - 1}) {
        if (a[i] != 5) throw RunError("the memory benchmark computed a wrong value; the machine isn't sound");
    }
    return static_cast<double>(elements) / seconds;
}

}  // namespace lielow
