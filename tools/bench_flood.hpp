// SPDX-License-Identifier: Apache-2.0
// How fast the flood picture is found: catchments and hollows of made-up farm land.
#pragma once

#include <cstdint>

#include "sim/grid.hpp"
#include "tools/bench_clock.hpp"

namespace lielow {

/// Cells a second.
double flood_cells_per_second(const Field<float>& z, int threads, const BenchEffort& effort);

}  // namespace lielow
