// SPDX-License-Identifier: Apache-2.0
// What the ground radiates and what the sky sends back: the net loss of longwave radiation.
//
// Formulas of FAO-56 (Allen, Pereira, Raes & Smith 1998, Crop evapotranspiration, Irrigation and Drainage
// Paper 56). Of the published emissivities of a clear sky the one that its equation 39 implies is taken,
// Brunt's (1932) form with its coefficients: the cloud factor, the soil's share of a night's loss (equation
// 46) and worked examples for hours of the night come from the same paper and were made to go together.
// Others differ: Brutsaert's (1975) gives a net loss 20 to 35 % greater on a frost night.
#pragma once

namespace lielow {

/// Stefan-Boltzmann constant, W/(m² K⁴), CODATA 2018.
inline constexpr double stefan_boltzmann = 5.670374419e-8;

/// Over water, kPa; FAO-56 equation 11. At the dew point it is the vapour pressure of the air (equation 14).
double saturation_vapour_pressure_kpa(double temperature_k);

/// Net outgoing longwave radiation of a whole day, W/m²; FAO-56 equation 39. `solar_ratio` is Rs/Rso, the
/// sunshine received over that of a clear day. (The paper counts in MJ/(m² d): 1 MJ/(m² d) = 11.574 W/m².)
double day_net_longwave_w_m2(double highest_k, double lowest_k, double vapour_pressure_kpa,
                             double solar_ratio);

/// Share of the clear-sky loss that is left under cloud: the cloud factor of FAO-56 equation 39, 1.35 Rs/Rso
/// − 0.35, with Rs/Rso = (0.25 + 0.5 (1 − cloud))/0.75 from its equation 35: 1 − 0.9 cloud.
double cloud_factor(double cloud);

/// Emissivity of the sky as seen from air of this vapour pressure: 1 − (0.34 − 0.14 √e) times the cloud
/// factor; at most 1.
double sky_emissivity(double vapour_pressure_kpa, double cloud);

/// Net loss at one moment, W/m²: black ground at its own temperature under the sky that goes with the air's.
/// With both temperatures alike it is FAO-56 equation 39 for an hour. Negative under a warm, damp sky over
/// cold ground.
double net_longwave_w_m2(double ground_k, double air_k, double vapour_pressure_kpa, double cloud);

}  // namespace lielow
