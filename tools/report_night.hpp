// SPDX-License-Identifier: Apache-2.0
// The night hour by hour, kept for the report: temperatures and flow on the night's own cells, and the named
// spots' evenings.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "sim/grid.hpp"
#include "tools/night_spots.hpp"

namespace lielow {

class FlowWatch;
struct NightSetup;
struct SiteRun;

struct NightHour {
    double after_sunset_s = 0;
    std::string clock;           ///< "21:00", at the place
    Field<float> temperature_c;  ///< at plant height over the cell's mean ground
    Field<float> along_m_s;      ///< the lowest air's velocity, along the rows
    Field<float> down_m_s;       ///< and down them
};

struct SpotNight {
    std::string name;
    double x_m = 0;  ///< along the rows, from the grid's first corner
    double y_m = 0;  ///< down the rows
    std::vector<SpotMoment> moments;
};

struct NightHours {
    Grid grid;                     ///< the night's
    std::vector<NightHour> hours;  ///< sunset is not among them: nothing has cooled then
    std::vector<SpotNight> spots;
    std::string sunset;
};

/// The state nearest to every full hour after sunset, and the last.
NightHours night_hours(const SiteRun& run, const std::vector<PlacedSpot>& spots, const NightSetup& setup,
                       const FlowWatch& watch, double sunset_s);

}  // namespace lielow
