// SPDX-License-Identifier: Apache-2.0
// What the benchmarks need to know of the machine they run on.
#pragma once

#include <cstdint>

namespace lielow {

struct BenchMachine {
    int processors = 0;
    std::uint64_t last_cache_bytes =
        0;                         ///< all last-level caches together; 32 MiB where the system doesn't say
    std::uint64_t free_bytes = 0;  ///< memory to be had without swapping; 0 where the system doesn't say
    double load = 0;               ///< running programs, mean of the last minute
};

BenchMachine this_machine();

}  // namespace lielow
