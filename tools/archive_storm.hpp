// SPDX-License-Identifier: Apache-2.0
// The storm's pages of archive.nc, written as it runs.
#pragma once

#include "sim/coarse_ground.hpp"
#include "sim/storm_flow.hpp"
#include "tools/site_run.hpp"

namespace lielow {

/// Takes the water's depth and speed on the storm's own cells every hour (every quarter of one where the
/// site's key `archive` is "states") and at the end; nothing without run.archive.
class StormArchive {
  public:
    /// Both must outlive it.
    StormArchive(SiteRun& run, const StormPlan& plan, const Blocks& blocks);
    /// After every pulse.
    void look(const StormMoment& moment, const StackSolver<double>& solver);

  private:
    void write(const StormMoment& moment, const StackSolver<double>& solver);
    Archive* archive_;
    const StormPlan& plan_;
    double interval_s_;
    double end_s_;
    double next_s_;
    double written_s_ = 0;
    double rain_m_ = 0;
};

}  // namespace lielow
