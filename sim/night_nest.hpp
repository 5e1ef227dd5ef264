// SPDX-License-Identifier: Apache-2.0
// A farm's night inside a coarser night of the ground around it: cold air that forms beyond the farm's edge
// flows in, and what the farm sends out meets what is really there. One way: the farm doesn't act back.
#pragma once

#include "sim/night.hpp"
#include "sim/surround.hpp"

namespace lielow {

/// A night on coarse cells over `ground`, the surround's or the farm's own: at least twice as wide as those
/// of `farm`, and as wide as keeps its work within `work_share` of the farm's. Sheets as the farm's.
NightPlan plan_coarse(const Ground& ground, const NightSetup& settings, const NightPlan& farm,
                      double work_share = 1.0 / 6);

/// The farm's canopy on a coarse night's cells, whose first corner lies `east_m`, `south_m` before the
/// farm's: drag by its share of the cell, the tallest top.
NightCanopy coarse_canopy(const NightCanopy& canopy, const NightPlan& farm, const NightPlan& coarse,
                          double east_m, double south_m);

struct NestedNight {
    NightResult farm;
    NightResult around;
    std::size_t ring_samples = 0;
    std::size_t ring_bytes = 0;
};

/// The outer night first (NightSetup::edges is what lies beyond *it*), then the farm's. `surround` holds the
/// farm's ground already (lay_farm). The canopy is laid on both. At the ring between the two the outer night
/// is sampled at least every `longest_interval_s` seconds. Throws InputError where the surround doesn't
/// reach beyond the farm on every side.
NestedNight run_nested_night(const Ground& farm, const Surround& surround, const NightSetup& settings,
                             const NightPlan& plan, const NightPlan& around,
                             const NightCanopy* canopy = nullptr, const NightProgress& progress = {},
                             double longest_interval_s = 300);

}  // namespace lielow
