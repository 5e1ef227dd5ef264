// SPDX-License-Identifier: Apache-2.0
// The night's pages of archive.nc.
#pragma once

#include "sim/night_watch.hpp"
#include "tools/site_run.hpp"

namespace lielow {

/// Writes run.night into run.archive, if there is one: whole hours after sunset and sunrise, or every kept
/// state with its isotherms, as the site's key `archive` says. `sunset_s`: after 00:00 UTC of night.date.
void archive_night(SiteRun& run, const NightSetup& setup, const FlowWatch& watch, double sunset_s);

/// The same of a night under way, beside its kept state (io/resume_folder.hpp): what a killed run leaves to
/// read.
void archive_hours_so_far(const SiteRun& run, const NightResult& so_far, const NightSetup& setup,
                          const FlowWatch& watch, double sunset_s);

}  // namespace lielow
