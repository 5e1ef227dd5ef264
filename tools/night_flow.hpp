// SPDX-License-Identifier: Apache-2.0
// How the cold air moves: maps, arrows, paths, and where each field's cold comes from.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "sim/night_watch.hpp"
#include "tools/site_run.hpp"

namespace lielow {

/// Looks on at the night of this site, over the borders of its fields.
FlowWatch flow_watch(const SiteRun& run, const NightPlan& plan);

/// Throws InputError when night.flow_hour lies outside the night.
void check_flow_hour(const Site& site, const Dem& dem, double sunset_s, double length_s);

/// Rasters flow_speed and flow_from, layers flow_arrows and cold_paths, and in the summary what crosses each
/// field's border; a caution where a field's air comes in over the edge of the DEM, or of the ground around
/// it.
void write_flow(SiteRun& run, const FlowWatch& watch, const std::optional<WiderFlow>& around,
                const NightSetup& setup, double sunset_s, PartRecord& record);

/// Rasters night_low_hour and hours_below_….
void write_hours(SiteRun& run, const NightSetup& setup, double sunset_s);

/// "NW" of 0..7.
std::string_view compass_name(int sector);

/// What is told of a field's cold, as the end of a sentence; `sides` from N clockwise.
std::string cold_comes_text(const std::vector<SideRecord>& sides, double formed_kw);

}  // namespace lielow
