// SPDX-License-Identifier: Apache-2.0
// What the wind aloft does to one column of cold air: it takes the cold off the top and mixes what is below.
//
// Entrainment: Kato & Phillips (1969), On the penetration of a turbulent layer into stratified fluid, Journal
// of Fluid Mechanics 37, 643-655, doi 10.1017/S0022112069000784: a mixed layer of depth h, stirred with the
// friction velocity u*, eats into stably stratified fluid at the rate
//
//     w_e/u* = 2.5/Ri* ,   Ri* = b h/u*² ,   b the jump of buoyancy at its edge.
//
// Here the mixed layer is the air aloft and the stratified fluid the stack, so h is the depth of the air that
// the wind keeps mixed, not that of the pool: the work goes into spreading cold air over h. The flux of
// buoyancy w_e b = 2.5 u*³/h is then the same whatever the jump, and with it whatever the step of the ladder.
#pragma once

#include "sim/stack_parameters.hpp"

namespace lielow {

inline constexpr double von_karman = 0.4;

/// u* under a wind of `speed` at `height` above ground of this roughness length (m), by the logarithmic law
/// of neutral air: κ speed/ln(height/roughness).
double friction_velocity(double speed_m_s, double height_m, double roughness_m);

/// w_e/u* by Kato & Phillips. Below Ri* = 30, where their experiments end (from memory), it stays as there.
double entrainment_ratio(double richardson);

// Eddy diffusivity that wind of the friction velocity u* adds at the height z above ground, m²/s, by the
// log-linear profile, κ u* z/(1 + 5 z/L) (Dyer 1974, A review of flux-profile relationships, Boundary-Layer
// Meteorology 7, 363-372), L = u*³ θ/(κ g flux of heat):

/// where the ground takes `loss` (K m/s) out of air of the potential temperature `theta_k`;
double mixing_under_loss_m2_s(double u_star, double height_m, double loss_k_m_s, double theta_k);

/// where the air is stratified with the square of the buoyancy frequency `n2` (1/s²), the flux being what
/// goes with both: 2 κ u* z/(1 + √(1 + 20 (κ z N/u*)²)). In strong stratification that is u*²/(√5 N).
double mixing_in_stratified_air_m2_s(double u_star, double height_m, double n2);

/// What an erosion needs to know of the night.
struct ErosionScale {
    double sheet_step = 1;     ///< δ, K
    double buoyancy_step = 0;  ///< δ g/θ0, m/s²
    double mixed_depth = 100;  ///< h, m
};

/// Lowers the isotherms of a column, level[0] ≥ … ≥ level[sheets − 1] ≥ 0 above the ground (m), by what the
/// air aloft entrains in `span` seconds: the top one first, then it and all that it has come down to.
void erode_column(const ErosionScale& scale, double u_star, double span, int sheets, double* level);

/// Mixes a column for `span` seconds with the diffusivity `mixing` (m²/s) on top of what the stack does by
/// itself. Σ level stays what it is. `level` as above.
void mix_column(double sheet_step, double mixing, double span, int sheets, double* level);

}  // namespace lielow
