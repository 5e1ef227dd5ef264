// SPDX-License-Identifier: Apache-2.0
// How fast memory can be read and written: the triad a = b + s·c over arrays that no cache holds (McCalpin
// 1995, IEEE TCCA Newsletter, December, 19-25).
#pragma once

#include <cstddef>

#include "tools/bench_clock.hpp"

namespace lielow {

/// Bytes moved an element: b and c read, a fetched and written (write-allocate), 8 bytes each. McCalpin's own
/// count leaves out the fetch: 24.
inline constexpr double triad_bytes_per_element = 32;

/// Elements a second, best of several rounds.
double triad_elements_per_second(std::size_t elements, int threads, const BenchEffort& effort);

}  // namespace lielow
