// SPDX-License-Identifier: Apache-2.0
// A night within a given memory: in one piece where it fits, else by windows with its state on disk.
#pragma once

#include <cstdint>
#include <filesystem>
#include <functional>
#include <optional>

#include "sim/night_windows.hpp"

namespace lielow {

/// How a night will be solved.
struct NightFit {
    std::optional<WindowPlan> windows;  ///< nothing: in one piece
    std::uint64_t held_bytes = 0;       ///< by what comes out, until the maps are made
};

/// `plan` is of the night's own cells (blocks 1 × 1), `settings` without its fields. Throws InputError in one
/// line that says how much the night takes.
NightFit fit_night(const NightSetup& settings, const NightPlan& plan, std::uint64_t memory);

/// What maps are made from.
struct SolvedNight {
    ColumnScale scale;
    Field<double> ground;  ///< of the night's cells, m
    double ladder_full_share = 0;
    std::function<ColdestRows(std::int32_t first_row, std::int32_t rows)> coldest;
};

/// Runs the night over `cells`, m. `scratch`: path and beginning of the names of files for its windows, in
/// the folder that results are made in. Throws RunError, Interrupted.
SolvedNight solve_night(Field<double> cells, const NightSetup& settings, const NightPlan& plan,
                        const NightFit& fit, const std::filesystem::path& scratch,
                        const NightProgress& progress);

}  // namespace lielow
