// SPDX-License-Identifier: Apache-2.0
// A farm's night inside a coarser night of the ground around it: cold air that forms beyond the farm's edge
// flows in, and what the farm sends out meets what is really there. One way: the farm doesn't act back.
#pragma once

#include "sim/night.hpp"
#include "sim/surround.hpp"

namespace lielow {

/// A night on coarse cells over `ground`, the surround's or the farm's own: at least twice as wide as those
/// of `farm`, and as wide as keeps its work, in cell-sheet steps, within `most_work`. Sheets as the farm's.
NightPlan plan_coarse(const Ground& ground, const NightSetup& settings, const NightPlan& farm,
                      double most_work);

/// The work that the night around may cost: a sixth of the farm's, but no less than 5e8 cell-sheet steps,
/// some seconds, so that a small farm's surround isn't solved on needlessly wide cells.
double work_around(const NightPlan& farm);

/// What stands on the farm, on a coarse night's cells, whose first corner lies `east_m`, `south_m` before the
/// farm's: canopies by their drag area, ground drag and heaters by their share of the cell. What raises or
/// cuts the ground is left out: it is narrower than such a cell.
NightSurface coarse_surface(const NightSurface& surface, double night_drag, const NightPlan& farm,
                            const NightPlan& coarse, double east_m, double south_m);

/// A night ready to be run on a surround.
struct NightAround {
    NightSetup setup;
    NightPlan plan;
    NightSurface surface;
};

/// The farm's night `settings`, planned as `plan`, for the ground around: its sky view, if it has one,
/// computed over the surround in `sky_directions` directions; cover and what stands there where the farm
/// lies, ordinary ground elsewhere. Of its states only that at sunrise is
/// kept.
NightAround night_around(const Surround& surround, const NightSetup& settings, const NightPlan& plan,
                         const Grid& farm_grid, const NightSurface& surface, int sky_directions = 16);

struct NestedNight {
    NightResult farm;
    NightResult around;
    std::size_t ring_samples = 0;
    std::size_t ring_bytes = 0;
};

struct NestOptions {
    const NightSurface* surface = nullptr;  ///< what stands on the farm's cells
    NightProgress progress = {};
    NightObserver* farm = nullptr;  ///< looks on at the farm's night
    NightObserver* around = nullptr;
    double longest_interval_s = 300;  ///< between samples of the outer night at the ring
    std::function<void(const NightResult& so_far)> farm_at_hour =
        {};  ///< NightLinks::at_hour of the farm's night
    StateKeeper* farm_keeper = nullptr;
    StateKeeper* around_keeper = nullptr;
};

/// The outer night first (its NightSetup::edges are what lies beyond *it*), then the farm's. `surround` holds
/// the farm's ground already (lay_farm); `settings` are the farm's. Throws InputError where the surround
/// doesn't reach beyond the farm on every side.
NestedNight run_nested_night(const Ground& farm, const Surround& surround, const NightSetup& settings,
                             const NightPlan& plan, const NightAround& around,
                             const NestOptions& options = {});

}  // namespace lielow
