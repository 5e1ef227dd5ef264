// SPDX-License-Identifier: Apache-2.0
// Hollows of made-up ground: the catchment method against Priority-Flood as published. items_per_second is
// cells a second. Sizes up to 16 million cells; LIELOW_BENCH_LARGE=1 in the environment adds 10⁸.
#include <benchmark/benchmark.h>

#include <cstdint>
#include <cstdlib>

#include "sim/drain_directions.hpp"
#include "sim/filling_rain.hpp"
#include "sim/hollows.hpp"
#include "sim/nested_hollows.hpp"
#include "sim/priority_flood.hpp"
#include "sim/storm_fill.hpp"
#include "sim/tie_order.hpp"
#include "sim/upslope.hpp"
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

/// The tree of hollows, from the elevations on.
void nested(benchmark::State& state) {
    const auto side = static_cast<std::int32_t>(state.range(1));
    const Grid grid{side, side};
    const Field<float> z = ground(state.range(0), side);
    for (auto _ : state) {
        const NestedHollows found = nest_hollows(grid, z, find_catchments(grid, z));
        benchmark::DoNotOptimize(found.list.data());
    }
    state.SetItemsProcessed(state.iterations() * static_cast<std::int64_t>(z.size()));
}

/// The same with equal heights in their order.
void nested_leaning(benchmark::State& state) {
    const auto side = static_cast<std::int32_t>(state.range(1));
    const Grid grid{side, side};
    Field<float> z = ground(state.range(0), side);
    if (state.range(0) == kFractal) test::quantise(z, 0.01F);
    for (auto _ : state) {
        const Field<float> order = order_ties(z);
        const NestedHollows found = nest_hollows(grid, z, find_catchments(grid, z, order), order);
        benchmark::DoNotOptimize(found.list.data());
    }
    state.SetItemsProcessed(state.iterations() * static_cast<std::int64_t>(z.size()));
}

/// One storm on a tree that is there already.
void storm(benchmark::State& state) {
    const auto side = static_cast<std::int32_t>(state.range(1));
    const Grid grid{side, side};
    const Field<float> z = ground(state.range(0), side);
    const NestedHollows found = nest_hollows(grid, z, find_catchments(grid, z));
    for (auto _ : state) {
        const StormPonds ponds = fill_from_runoff(found, runoff_by_catchment(found, 0.05));
        benchmark::DoNotOptimize(ponds.ponded_m3);
    }
    state.SetItemsProcessed(state.iterations() * static_cast<std::int64_t>(z.size()));
}

/// The rain that fills each hollow, on a tree that is there already.
void filling(benchmark::State& state) {
    const auto side = static_cast<std::int32_t>(state.range(1));
    const Grid grid{side, side};
    const Field<float> z = ground(state.range(0), side);
    const NestedHollows found = nest_hollows(grid, z, find_catchments(grid, z));
    for (auto _ : state) {
        const FillingRain rain = rain_that_fills(found);
        benchmark::DoNotOptimize(rain.of_hollow.data());
    }
    state.SetItemsProcessed(state.iterations() * static_cast<std::int64_t>(z.size()));
}

/// Directions and upslope area on ground whose hollows are found already.
template <FlowSplit split>
void upslope(benchmark::State& state) {
    const auto side = static_cast<std::int32_t>(state.range(1));
    const Grid grid{side, side};
    const Field<float> z = ground(state.range(0), side);
    const Catchments catchments = find_catchments(grid, z);
    const Hollows found = find_hollows(grid, z, catchments);
    for (auto _ : state) {
        const DrainDirections directions = drain_directions(grid, filled_ground(z, catchments, found));
        const Field<double> area = upslope_area(grid, directions, split);
        benchmark::DoNotOptimize(area.data());
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
BENCHMARK(nested)->Apply(sizes);
BENCHMARK(nested_leaning)->Apply(sizes);
BENCHMARK(storm)->Apply(sizes);
BENCHMARK(filling)->Apply(sizes);
BENCHMARK(upslope<FlowSplit::single>)->Apply(sizes);
BENCHMARK(upslope<FlowSplit::facets>)->Apply(sizes);

}  // namespace
}  // namespace lielow
