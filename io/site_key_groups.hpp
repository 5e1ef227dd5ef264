// SPDX-License-Identifier: Apache-2.0
// Parts of the table of io/site_keys.hpp that stand in files of their own.
#pragma once

#include <vector>

#include "io/site_keys.hpp"

namespace lielow {

std::vector<SiteKey> night_wind_keys();
std::vector<SiteKey> soil_keys();
std::vector<SiteKey> soil_survey_keys();
std::vector<SiteKey> drain_start_keys();
std::vector<SiteKey> drain_keys();
std::vector<SiteKey> night_reading_keys();
std::vector<SiteKey> spot_keys();
std::vector<SiteKey> crop_keys();
std::vector<SiteKey> tender_keys();
std::vector<SiteKey> station_keys();
std::vector<SiteKey> siting_keys();
std::vector<SiteKey> ensemble_keys();
std::vector<SiteKey> look_keys();
std::vector<SiteKey> storm_run_keys();
std::vector<SiteKey> tune_keys();
std::vector<SiteKey> water_keys();

}  // namespace lielow
