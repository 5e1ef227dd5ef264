// SPDX-License-Identifier: Apache-2.0
// Made-up ground for the benchmarks.
#pragma once

#include <cstdint>

#include "sim/grid.hpp"

namespace lielow {

/// Rolling farm land, square, m: random heights every 1024, 512 ... 1 cells, bilinear between, their spread
/// shrinking with their distance. The coarsest spread over `relief` m. The same on every machine.
Field<float> rolling_ground(std::int32_t side, float relief);

}  // namespace lielow
