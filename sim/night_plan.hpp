// SPDX-License-Identifier: Apache-2.0
// What a night's plan and its run must agree on (the plan itself: sim/night.hpp).
#pragma once

#include "sim/night.hpp"

namespace lielow {

/// Thinnest gap whose conduction the column's substeps can afford, m.
inline constexpr double least_gap_floor = 0.05;

}  // namespace lielow
