// SPDX-License-Identifier: Apache-2.0
// Sky view of made-up ground, as a multiple of what its arithmetic alone takes: one arc tangent and one
// division for every cell and direction, on values that stand ready in order. items_per_second is cells a
// second.
#include <benchmark/benchmark.h>

#include <chrono>
#include <cmath>
#include <cstdint>

#include "sim/sky_view.hpp"
#include "tests/support/terrain.hpp"

namespace lielow {
namespace {

using Clock = std::chrono::steady_clock;

double seconds_since(Clock::time_point start) {
    return std::chrono::duration<double>(Clock::now() - start).count();
}

/// Seconds for the arithmetic of `directions` horizons over the whole ground.
double arithmetic_alone(const Field<float>& z, int directions) {
    Field<float> sum(z.rows(), z.cols(), 0.0F);
    const auto start = Clock::now();
    for (int k = 0; k < directions; ++k) {
#pragma omp parallel for schedule(static)
        for (std::int32_t j = 0; j < z.rows(); ++j) {
            for (std::int32_t i = 0; i < z.cols(); ++i) {
                const float t = z(j, i);
                const float s = 1.0F / (1.0F + t * t);
                sum(j, i) += s - 0.1F * (1.5707963F - std::atan(t) - t * s);
            }
        }
    }
    benchmark::DoNotOptimize(sum.data());
    return seconds_since(start);
}

void sky(benchmark::State& state) {
    const auto side = static_cast<std::int32_t>(state.range(0));
    const auto directions = static_cast<int>(state.range(1));
    const Field<float> z = test::fractal(side, side, 1);
    double bound = 0;
    double spent = 0;
    for (auto _ : state) {
        const auto start = Clock::now();
        const Field<float> view = sky_view({side, side, 2, 2}, z, directions);
        benchmark::DoNotOptimize(view.data());
        spent += seconds_since(start);
        state.PauseTiming();
        bound += arithmetic_alone(z, directions);
        state.ResumeTiming();
    }
    state.SetItemsProcessed(state.iterations() * static_cast<std::int64_t>(z.size()));
    state.counters["times_its_arithmetic"] = spent / bound;
}

BENCHMARK(sky)
    ->UseRealTime()
    ->Unit(benchmark::kMillisecond)
    ->ArgNames({"side", "directions"})
    ->Args({1000, 8})
    ->Args({1000, 16})
    ->Args({1000, 32})
    ->Args({2000, 16});

}  // namespace
}  // namespace lielow
