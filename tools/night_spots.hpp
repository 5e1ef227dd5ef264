// SPDX-License-Identifier: Apache-2.0
// The night hour by hour at named spots: spots.csv, a layer of points, lines of the report.
#pragma once

#include <span>
#include <string>
#include <vector>

#include "io/spots.hpp"
#include "sim/night_watch.hpp"
#include "tools/site_run.hpp"

namespace lielow {

struct PlacedSpot {
    Spot spot;
    std::size_t cell = 0;  ///< of the DEM
};

/// The spots of spots.file and spots.at; none where the site names none. Throws InputError in one line: two
/// of one name, one without ground.
std::vector<PlacedSpot> read_site_spots(const Site& site, const Dem& dem, std::vector<std::string>& notes);

/// A line for `lielow check`; empty without spots.
std::string spots_text(const std::vector<PlacedSpot>& spots, const Dem& dem, PeopleUnits units);

/// "hours_below_32_degf", in the site's units.
std::string hours_below_name(double threshold_k, PeopleUnits units);

/// One moment at one spot.
struct SpotMoment {
    double time_s = 0;         ///< after sunset
    double temperature_c = 0;  ///< at plant height
    double cold_depth_m = 0;
    double flow_m_s = 0;
    double flow_from_deg = 0;  ///< NaN in a calm
};

/// Below this the air has no direction worth telling, m/s.
inline constexpr double calm_m_s = 0.02;

/// Each spot's moments from sunset on.
std::vector<std::vector<SpotMoment>> spot_series(const SiteRun& run, const std::vector<PlacedSpot>& spots,
                                                 const NightSetup& setup, const FlowWatch& watch);

/// Air temperature at plant height at spots through a night.
struct SpotTemperatures {
    std::vector<double> time_s;  ///< after sunset: 0, then the night's kept states
    Field<double> celsius;       ///< one spot a row, one moment a column
};

/// At cells of the DEM; what spot_series says of their temperature.
SpotTemperatures spot_temperatures(const Ground& ground, const NightResult& night, const NightSetup& setup,
                                   std::span<const std::size_t> cells);

/// The text of spots.csv.
std::string spots_csv(const SiteRun& run, const std::vector<PlacedSpot>& spots,
                      const std::vector<std::vector<SpotMoment>>& series, double sunset_s);

/// spots.csv, the layer "spots" and the summary's spots.
void write_spots(SiteRun& run, const std::vector<PlacedSpot>& spots, const NightSetup& setup,
                 const FlowWatch& watch, double sunset_s);

}  // namespace lielow
