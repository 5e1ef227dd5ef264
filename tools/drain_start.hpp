// SPDX-License-Identifier: Apache-2.0
// Where the water is when the storm ends.
#pragma once

#include "sim/drain_down.hpp"
#include "tools/site_run.hpp"

namespace lielow {

struct StormEnd {
    DrainDownStart start;
    double ran_off_m3 = 0;  ///< left the ground while the storm's water ran together
};

/// The table before the storm is given, mapped, or held up by steady rain. Of the storm the part that doesn't
/// run off (water.runoff_share; all of it where that isn't given) goes into the ground as far as there is
/// room; the rest runs together in the hollows. Without a storm the ground is full to the surface. Leaves
/// `table` in no particular state.
StormEnd storm_end(SiteRun& run, WaterTable& table);

}  // namespace lielow
