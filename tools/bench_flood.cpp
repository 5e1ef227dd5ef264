// SPDX-License-Identifier: Apache-2.0
#include "tools/bench_flood.hpp"

#include "sim/errors.hpp"
#include "sim/hollows.hpp"

namespace lielow {

double flood_cells_per_second(const Field<float>& z, int threads, const BenchEffort& effort) {
    const Grid grid{z.rows(), z.cols()};
    const WithThreads scope(threads);
    std::size_t hollows = 0;
    const double seconds = best_seconds(effort, [&] {
        const Catchments catchments = find_catchments(grid, z);
        hollows = find_hollows(grid, z, catchments).list.size();
    });
    if (hollows == 0) throw RunError("the made-up ground of the benchmark has no hollows");
    return static_cast<double>(z.size()) / seconds;
}

}  // namespace lielow
