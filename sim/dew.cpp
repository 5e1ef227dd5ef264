// SPDX-License-Identifier: Apache-2.0
#include "sim/dew.hpp"

#include <algorithm>
#include <cmath>

#include "sim/net_longwave.hpp"

namespace lielow {
namespace {

constexpr double freezing_k = 273.15;

/// e = e0 exp(a t/(t + b)), t in °C, kPa.
struct Saturation {
    double e0, a, b;
};
constexpr Saturation over_water{0.6108, 17.27, 237.3};
/// Murray writes 6.1078 exp(21.8745584 (T − 273.16)/(T − 7.66)) hPa.
constexpr Saturation over_ice{0.61078, 21.8745584, 265.5};

const Saturation& saturation_at(double temperature_k) {
    return temperature_k < freezing_k ? over_ice : over_water;
}

double pressure_of(const Saturation& s, double temperature_k) {
    const double t = temperature_k - freezing_k;
    return s.e0 * std::exp(s.a * t / (t + s.b));
}

}  // namespace

double air_pressure_kpa(double elevation_m) {
    return 101.3 * std::pow((293 - 0.0065 * elevation_m) / 293, 5.26);
}

double psychrometric_constant_kpa_k(double pressure_kpa, double temperature_k) {
    constexpr double to_ice = 2.45 / 2.834;
    return 0.665e-3 * pressure_kpa * (temperature_k < freezing_k ? to_ice : 1.0);
}

double ground_vapour_pressure_kpa(double temperature_k) {
    return pressure_of(saturation_at(temperature_k), temperature_k);
}

double ground_vapour_pressure_slope_kpa_k(double temperature_k) {
    const Saturation& s = saturation_at(temperature_k);
    const double t = temperature_k - freezing_k;
    return s.a * s.b * pressure_of(s, temperature_k) / ((t + s.b) * (t + s.b));
}

double saturated_air_share(double temperature_k, double pressure_kpa) {
    const double gamma = psychrometric_constant_kpa_k(pressure_kpa, temperature_k);
    return gamma / (gamma + ground_vapour_pressure_slope_kpa_k(temperature_k));
}

double sensible_share(double ground_k, double air_k, double vapour_pressure_kpa, double pressure_kpa) {
    // Air can hold no more than its ground could, or dew would fall without any cooling (a dew point is read
    // over water, also in frost).
    const double vapour = std::min(vapour_pressure_kpa, ground_vapour_pressure_kpa(air_k));
    const double falls = vapour - ground_vapour_pressure_kpa(ground_k);
    if (falls <= 0) return 1.0;
    constexpr double least_cooling_k = 1e-3;
    if (air_k - ground_k < least_cooling_k) return saturated_air_share(ground_k, pressure_kpa);
    const double heat = psychrometric_constant_kpa_k(pressure_kpa, ground_k) * (air_k - ground_k);
    return heat / (heat + falls);
}

}  // namespace lielow
