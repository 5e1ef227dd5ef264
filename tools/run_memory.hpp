// SPDX-License-Identifier: Apache-2.0
// How much memory a run will need, and how much there is: so that a run too large says so before it starts,
// and a batch's farms wait for one another instead of bringing the machine down.
#pragma once

#include <cstdint>
#include <string>

#include "io/site.hpp"

namespace lielow {

/// Bytes at the peak of a run, from the cells of its DEM and whether it speaks of the soil; how it was
/// measured and how far it errs stands in docs/batch.md.
std::uint64_t expected_memory(std::uint64_t cells, bool soil);

/// Throws InputError in one line where a run of the site is expected to take more than `most_bytes`.
void judge_memory(const Site& site, std::uint64_t most_bytes);

/// "2.3 GB".
std::string gigabytes(std::uint64_t bytes);

/// What this process and its children may use in all: the machine's memory, or less where a cgroup (a
/// container, a cluster's job) sets a limit.
std::uint64_t memory_limit();

/// What could be taken now without swapping: the kernel's own estimate (MemAvailable), and what a cgroup
/// still leaves.
std::uint64_t memory_available();

/// What a process holds now that the other figure therefore doesn't count any more; 0 for one that has ended.
std::uint64_t memory_held(int process);

}  // namespace lielow
