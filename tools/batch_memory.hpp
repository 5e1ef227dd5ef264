// SPDX-License-Identifier: Apache-2.0
// How much memory a farm will need, and how much there is: so that farms wait for one another instead of
// bringing the machine down.
#pragma once

#include <cstdint>

#include "tools/batch_list.hpp"

namespace lielow {

/// Bytes at the peak of a run, from the cells of its DEM and whether it speaks of the soil; how it was
/// measured and how far it errs stands in docs/batch.md. A DEM that can't be opened counts as none: its run
/// ends early, and says why.
std::uint64_t expected_memory(const BatchRow& row);

/// What this process and its children may use in all: the machine's memory, or less where a cgroup (a
/// container, a cluster's job) sets a limit.
std::uint64_t memory_limit();

/// What could be taken now without swapping: the kernel's own estimate (MemAvailable), and what a cgroup
/// still leaves.
std::uint64_t memory_available();

/// What a process holds now that the other figure therefore doesn't count any more; 0 for one that has ended.
std::uint64_t memory_held(int process);

}  // namespace lielow
