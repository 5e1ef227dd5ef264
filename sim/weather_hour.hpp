// SPDX-License-Identifier: Apache-2.0
// One record of a weather station.
#pragma once

namespace lielow {

/// What isn't known of wind is NaN.
struct WeatherHour {
    double time_s = 0;  ///< whose zero the holder says
    double air_k = 0;
    double dew_point_k = 0;  ///< over water, also in frost
    double cloud = 0;        ///< share of the sky, 0..1
    double wind_speed_m_s = 0;
    double wind_from_rad = 0;  ///< the direction it blows from, clockwise from north
};

}  // namespace lielow
