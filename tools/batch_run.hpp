// SPDX-License-Identifier: Apache-2.0
// The farms of a list run side by side, each in a process of its own; what is done already is left alone.
#pragma once

#include <cstdint>
#include <filesystem>
#include <string>
#include <vector>

#include "tools/batch_list.hpp"
#include "tools/progress.hpp"

namespace lielow {

struct BatchSettings {
    std::filesystem::path out;
    std::vector<std::string> only;  ///< as RunRequest
    int jobs = 1;
    int threads = 1;                 ///< of each farm
    std::uint64_t memory_bytes = 0;  ///< all farms together at most
    bool one_row = false;            ///< then the farm's own journal is written
};

enum class FarmState : std::uint8_t { missing, outdated, done, failed };

struct FarmOutcome {
    FarmState state = FarmState::missing;
    bool ran_now = false;
    std::string error;  ///< of a failed one
};

/// Runs what is missing or changed. A farm that fails says so in one line through `progress` and stops no
/// other. The outcomes stand in the rows' order. Throws Interrupted when the person has asked to stop; the
/// farms that are done then stay.
std::vector<FarmOutcome> run_batch(const BatchList& list, const BatchSettings& settings, Progress& progress);

/// What stands in the out directory, without running anything.
std::vector<FarmOutcome> look_at_batch(const BatchList& list, const BatchSettings& settings);

}  // namespace lielow
