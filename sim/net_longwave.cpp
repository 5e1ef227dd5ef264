// SPDX-License-Identifier: Apache-2.0
#include "sim/net_longwave.hpp"

#include <algorithm>
#include <cmath>

namespace lielow {
namespace {

/// The bracket of FAO-56 equation 39 that stands for the vapour in the air.
double humidity_factor(double vapour_pressure_kpa) {
    return 0.34 - 0.14 * std::sqrt(vapour_pressure_kpa);
}

double fourth_power(double x) {
    return x * x * x * x;
}

}  // namespace

double saturation_vapour_pressure_kpa(double temperature_k) {
    const double celsius = temperature_k - 273.15;
    return 0.6108 * std::exp(17.27 * celsius / (celsius + 237.3));
}

double day_net_longwave_w_m2(double highest_k, double lowest_k, double vapour_pressure_kpa,
                             double solar_ratio) {
    constexpr double sigma = 4.903e-9 * 1e6 / 86400;  // the paper's own, per day
    return sigma * 0.5 * (fourth_power(highest_k) + fourth_power(lowest_k)) *
           humidity_factor(vapour_pressure_kpa) * (1.35 * solar_ratio - 0.35);
}

double cloud_factor(double cloud) {
    return 1.0 - 0.9 * cloud;
}

double sky_emissivity(double vapour_pressure_kpa, double cloud) {
    return 1.0 - std::max(0.0, humidity_factor(vapour_pressure_kpa)) * cloud_factor(cloud);
}

double net_longwave_w_m2(double ground_k, double air_k, double vapour_pressure_kpa, double cloud) {
    return stefan_boltzmann *
           (fourth_power(ground_k) - sky_emissivity(vapour_pressure_kpa, cloud) * fourth_power(air_k));
}

}  // namespace lielow
