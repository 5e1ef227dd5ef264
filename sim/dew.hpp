// SPDX-License-Identifier: Apache-2.0
// Dew and hoar frost: latent heat that pays part of what the ground takes out of the air.
//
// Ground colder than the dew point draws vapour out of the air as it draws heat. Both are carried down by the
// same mixing, so their fluxes stand to one another as the differences do (Bowen 1926, Physical Review 27,
// 779-787): heat : latent heat = γ (T_air − T_ground) : (e_air − e_ground). The vapour that is taken out is
// thereby accounted for as the heat is: the air's dew point falls towards the ground as its temperature does.
// In air that is saturated from the start the ratio tends to γ : Δ(T).
#pragma once

namespace lielow {

/// Of the standard atmosphere, kPa; FAO-56 (Allen et al. 1998) equation 7.
double air_pressure_kpa(double elevation_m);

/// Of the air over ground at this temperature, kPa/K: FAO-56 equation 8, 0.000665 P with λ = 2.45 MJ/kg;
/// below 0 °C with the latent heat of sublimation, 2.834 MJ/kg (WMO-No. 8, from memory), in place of λ.
double psychrometric_constant_kpa_k(double pressure_kpa, double temperature_k);

/// Saturation vapour pressure over the ground, kPa: over water FAO-56 equation 11, below 0 °C over ice
/// (Murray 1967, Journal of Applied Meteorology 6, 203-204; his coefficients over water are those FAO-56
/// rounds).
double ground_vapour_pressure_kpa(double temperature_k);

/// Its slope Δ, kPa/K; over water FAO-56 equation 13.
double ground_vapour_pressure_slope_kpa_k(double temperature_k);

/// γ/(γ + Δ): share of a loss that cools saturated air; the rest condenses its vapour.
double saturated_air_share(double temperature_k, double pressure_kpa);

/// Share of a loss that cools the air, 0..1, over ground at `ground_k` that is no warmer than the air above;
/// the rest is paid by dew or hoar frost. `vapour_pressure_kpa` is that of the air above. 1 while the ground
/// is too warm for either.
double sensible_share(double ground_k, double air_k, double vapour_pressure_kpa, double pressure_kpa);

}  // namespace lielow
