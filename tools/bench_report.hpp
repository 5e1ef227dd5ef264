// SPDX-License-Identifier: Apache-2.0
// What the benchmarks found, for people and for machines.
#pragma once

#include <string>

#include "tools/bench_run.hpp"

namespace lielow {

std::string bench_text(const BenchReport& report);

/// Names end in their units. What was skipped has "skipped", the reason, in place of its rates.
std::string bench_json(const BenchReport& report);

}  // namespace lielow
