// SPDX-License-Identifier: Apache-2.0
// How a night's air mixes: everywhere alike, or as stability lets it, stirred by the flow over the ground, by
// the wind aloft, and never less than a calm night's air is.
#pragma once

#include "sim/night.hpp"
#include "sim/night_wind.hpp"
#include "sim/stack_solver.hpp"

namespace lielow {

/// Eddy diffusivity of open land's air a metre above the ground on a calm night that takes `loss` (K m/s) out
/// of it, m²/s.
double calm_mixing_m2_s(const NightSetup& setup, double loss);

/// How far apart two isotherms next to the ground can be before a third one starts, m: as far as the air
/// between them, stirred with u*, can carry `loss` (K m/s, > 0) across `step` kelvin.
double log_linear_depth(double u_star, double roughness, double loss, double theta_k, double step);

class NightMixing {
  public:
    /// `surface` may give the ground's drag cell by cell. `wind` must outlive this.
    NightMixing(const NightSetup& setup, const NightPlan& plan, const NightSurface& surface,
                const NightWind& wind);

    /// Hands the friction velocity of this moment to the stack, once half a minute has passed since the last
    /// time: the wind's or the calm night's, whichever is more, and √Cd |u| of the flow in the lowest 2 m.
    void stir(StackSolver<float>& solver);
    /// Hands over the friction velocity as it was last taken.
    void hand_over(StackSolver<float>& solver) const;
    /// The same as stir for level open land, where nothing flows.
    void stir_open_land(StackSolver<double>& column) const;

    /// Eddy diffusivity of the air near the ground where that takes `loss` (K m/s), m²/s.
    [[nodiscard]] double near_ground(std::int32_t row, std::int32_t col, double loss) const;
    [[nodiscard]] double near_open_ground(double loss) const;
    /// Greatest depth of the coldest sheet over open land, m.
    [[nodiscard]] double full_depth(double loss, double sheet_step) const;
    void walk(StateWalk& walk) {
        walk.field(u_star_);
        walk.field(u_flow_);
        walk.value(next_);
    }

  private:
    [[nodiscard]] bool is_uniform() const { return law_ == MixingLaw::uniform; }
    [[nodiscard]] double open_u_star() const;
    void stir_row(const StackSolver<float>& solver, std::int32_t row);
    MixingLaw law_;
    double calm_u_star_;
    double roughness_;
    double theta_k_;
    const NightWind& wind_;
    Field<float> drag_;    ///< of the ground, coefficient
    Field<float> u_star_;  ///< now, of still air and wind
    Field<float> u_flow_;  ///< now, of the flow
    double next_ = 0;
};

}  // namespace lielow
