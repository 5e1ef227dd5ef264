// SPDX-License-Identifier: Apache-2.0
// Hollows of made-up ground: the catchment method against Priority-Flood as published. items_per_second is
// cells a second. Sizes up to 16 million cells; LIELOW_BENCH_LARGE=1 in the environment adds 10⁸.
#include <benchmark/benchmark.h>

#include <cstdint>
#include <cstdlib>

#include "sim/hollows.hpp"
#include "sim/priority_flood.hpp"
#include "tests/support/terrain.hpp"

namespace lielow {
namespace {

enum Kind : std::int64_t { kFractal, kNoise, kPlane };

Field<float> ground(std::int64_t kind, std::int32_t side) {
    if (kind == kNoise) return test::noise(side, side, 1);
    if (kind == kPlane) return test::plane(side, side, 500.0, 0.002, 0.01);
    return test::fractal(side, side, 1);
}

void catchments_only(benchmark::State& state) {
    const auto side = static_cast<std::int32_t>(state.range(1));
    const Field<float> z = ground(state.range(0), side);
    for (auto _ : state) {
        const Catchments catchments = find_catchments({side, side}, z);
        benchmark::DoNotOptimize(catchments.of_cell.data());
    }
    state.SetItemsProcessed(state.iterations() * static_cast<std::int64_t>(z.size()));
}

void hollows(benchmark::State& state) {
    const auto side = static_cast<std::int32_t>(state.range(1));
    const Grid grid{side, side};
    const Field<float> z = ground(state.range(0), side);
    for (auto _ : state) {
        const Catchments catchments = find_catchments(grid, z);
        const Hollows found = find_hollows(grid, z, catchments);
        const Field<float> depth = hollow_depth(z, catchments, found);
        benchmark::DoNotOptimize(depth.data());
    }
    state.SetItemsProcessed(state.iterations() * static_cast<std::int64_t>(z.size()));
}

void published(benchmark::State& state) {
    const auto side = static_cast<std::int32_t>(state.range(1));
    const Field<float> z = ground(state.range(0), side);
    for (auto _ : state) {
        const Field<float> water = priority_flood(z);
        benchmark::DoNotOptimize(water.data());
    }
    state.SetItemsProcessed(state.iterations() * static_cast<std::int64_t>(z.size()));
}

void sizes(benchmark::internal::Benchmark* bench) {
    bench->UseRealTime()->Unit(benchmark::kMillisecond)->ArgNames({"kind", "side"});
    for (const std::int64_t kind : {kFractal, kNoise, kPlane}) {
        for (const std::int64_t side : {1000, 2000, 4000}) bench->Args({kind, side});
        if (std::getenv("LIELOW_BENCH_LARGE") != nullptr) bench->Args({kind, 10000});
    }
}

BENCHMARK(catchments_only)->Apply(sizes);
BENCHMARK(hollows)->Apply(sizes);
BENCHMARK(published)->Apply(sizes);

}  // namespace
}  // namespace lielow
