// SPDX-License-Identifier: Apache-2.0
// How the benchmarks take time: again and again, the best counts, because whatever else runs on a machine can
// only make a piece of work slower.
#pragma once

#include <omp.h>

#include <algorithm>
#include <chrono>
#include <limits>

#include "tools/stop.hpp"

namespace lielow {

/// How long to measure.
struct BenchEffort {
    double seconds = 0.8;  ///< for each figure, at least
    int rounds = 3;        ///< at least
    double work = 1e6;     ///< cell-sheet steps a round, so that the clock's own grain doesn't count
};

/// The number of threads for parallel work, until the end of its scope.
class WithThreads {
  public:
    explicit WithThreads(int threads) : before_(omp_get_max_threads()) { omp_set_num_threads(threads); }
    ~WithThreads() { omp_set_num_threads(before_); }
    WithThreads(const WithThreads&) = delete;
    WithThreads& operator=(const WithThreads&) = delete;

  private:
    int before_;
};

template <class Work>
double seconds_of(Work work) {
    const auto begun = std::chrono::steady_clock::now();
    work();
    return std::chrono::duration<double>(std::chrono::steady_clock::now() - begun).count();
}

/// Seconds of the fastest call of `work`. Throws Interrupted when the person has asked to stop.
template <class Work>
double best_seconds(const BenchEffort& effort, Work work) {
    double best = std::numeric_limits<double>::infinity();
    double total = 0;
    for (int round = 0; round < effort.rounds || total < effort.seconds; ++round) {
        throw_if_stopped();
        const double seconds = seconds_of(work);
        best = std::min(best, seconds);
        total += seconds;
    }
    return best;
}

}  // namespace lielow
