// SPDX-License-Identifier: Apache-2.0
// A week's drain-down of made-up ground. Beside seconds it tells how many products of the solver's own kind
// of matrix with a vector would have taken as long as one linear iteration (two products, the least BiCGSTAB
// needs, is the bound), measured in the same run. side = cells a side; LIELOW_BENCH_LARGE=1 adds 2000.
#include <benchmark/benchmark.h>

#include <Eigen/SparseCore>
#include <algorithm>
#include <chrono>
#include <cstdlib>

#include "sim/drain_down.hpp"
#include "tests/support/terrain.hpp"

namespace lielow {
namespace {

using Clock = std::chrono::steady_clock;

double seconds_since(Clock::time_point start) {
    return std::chrono::duration<double>(Clock::now() - start).count();
}

/// One product with a five-point matrix of `side` × `side` cells, best of several, s.
double product_seconds(std::int32_t side) {
    const std::int32_t n = side * side;
    Eigen::SparseMatrix<double, Eigen::RowMajor, std::int32_t> matrix(n, n);
    matrix.reserve(Eigen::VectorXi::Constant(n, 5));
    for (std::int32_t i = 0; i < n; ++i) {
        for (const std::int32_t j : {i - side, i - 1, i, i + 1, i + side}) {
            if (j >= 0 && j < n) matrix.insert(i, j) = i == j ? 2.0 : -0.25;
        }
    }
    matrix.makeCompressed();
    const Eigen::VectorXd x = Eigen::VectorXd::Ones(n);
    Eigen::VectorXd y(n);
    double best = 1e9;
    for (int round = 0; round < 9; ++round) {
        const auto start = Clock::now();
        y.noalias() = matrix * x;
        benchmark::DoNotOptimize(y.data());
        best = std::min(best, seconds_since(start));
    }
    return best;
}

void week(benchmark::State& state) {
    const auto side = static_cast<std::int32_t>(state.range(0));
    const Grid grid{side, side, 3.0, 3.0};
    Field<float> z = test::fractal(side, side, 5);
    const auto [low, high] = std::minmax_element(z.all().begin(), z.all().end());
    const float stretch = 60.0F / (*high - *low);  // rolling ground
    for (float& value : z.all()) value *= stretch;
    Soil soil;
    soil.conductivity_m_s = Field<float>(side, side, 7e-6F);
    soil.drainable_porosity = Field<float>(side, side, 0.06F);
    soil.floor_depth_m = Field<float>(side, side, 2.0F);
    DrainDownStart start;
    start.table_depth_m = Field<float>(side, side, 0.0F);
    DrainDownOptions options;
    options.days = 7;
    DrainDownResult result;
    double seconds = 0;
    for (auto _ : state) {
        WaterTable table(grid, z, soil);
        const auto from = Clock::now();
        result = drain_down(table, soil, start, options);
        seconds += seconds_since(from);
    }
    const double each = seconds / static_cast<double>(state.iterations());
    const double product = product_seconds(side);
    state.counters["steps"] = result.steps;
    state.counters["newton"] = result.newton_steps;
    state.counters["linear"] = result.linear_iterations;
    state.counters["product_ms"] = 1e3 * product;
    state.counters["products_per_linear"] = each / result.linear_iterations / product;
    state.SetItemsProcessed(state.iterations() * static_cast<std::int64_t>(z.size()) * result.newton_steps);
}

void sizes(benchmark::internal::Benchmark* bench) {
    bench->UseRealTime()->Unit(benchmark::kSecond)->ArgName("side")->Iterations(1);
    for (const std::int64_t side : {250, 500, 1000}) bench->Arg(side);
    if (std::getenv("LIELOW_BENCH_LARGE") != nullptr) bench->Arg(2000);
}

BENCHMARK(week)->Apply(sizes);

}  // namespace
}  // namespace lielow
