// SPDX-License-Identifier: Apache-2.0
// What the ground takes out of the air in the course of a night: the loss q that drives the stack.
//
// Either a constant (NightSetup::heat_loss_w_m2, lessened by cloud), or from radiation: the net loss of
// longwave radiation of ground at the temperature its air has cooled to, under the sky that goes with the
// evening's air (or with the station's, hour by hour); times the share that is taken out of the air, the rest
// coming out of the soil; less what dew or hoar frost pays. So ground that has grown cold loses less. Both
// are scaled by how much sky a cell sees and by its cover.
#pragma once

#include "sim/night.hpp"

namespace lielow {

/// A cell may lose at most this many times what open level ground does. More comes from cliffs that a DEM
/// doesn't resolve.
inline constexpr double most_loss_factor = 1.5;

/// The law of the loss at one spot.
class LossLaw {
  public:
    /// Throws InputError for a dew point above the air, or weather that isn't in order of time.
    explicit LossLaw(const NightSetup& setup);

    /// Loss out of the air at `time` after sunset, W/m², never negative. `deficit_k`: by how much the air at
    /// the ground is colder than it was at sunset. `factor` scales the radiation (a constant loss likewise).
    [[nodiscard]] double loss_w_m2(double time_s, double elevation_m, double deficit_k, double factor) const;
    /// The same over ρ cp, K m/s.
    [[nodiscard]] double loss_k_m_s(double time_s, double elevation_m, double deficit_k,
                                    double factor) const {
        return loss_w_m2(time_s, elevation_m, deficit_k, factor) / heat_capacity_;
    }
    /// `loss_k_m_s`, drawn towards `before`, the loss of the last `since_s` seconds, as far as the deficit
    /// answers the loss meanwhile: without that, thin air over well radiating ground would swing from one
    /// refresh to the next.
    [[nodiscard]] double settled_loss_k_m_s(double time_s, double elevation_m, double deficit_k,
                                            double factor, double before, double since_s) const;
    [[nodiscard]] bool is_constant() const { return setup_.loss_rule == LossRule::constant; }

  private:
    [[nodiscard]] WeatherHour weather_at(double time_s) const;
    NightSetup setup_;
    double heat_capacity_;  ///< ρ cp, J/(m³ K)
};

/// How level open ground under the whole sky fares, by conduction alone into air of the night's mixing.
struct FlatNight {
    double drop_k = 0;              ///< at the ground, when it is greatest
    double mean_loss_k_m_s = 0;     ///< over the night
    double coldest_loss_k_m_s = 0;  ///< when the drop is greatest
    double peak_loss_k_m_s = 0;     ///< of any ground that hasn't cooled yet
};

/// Superposition of the exact solution for a constant loss (Carslaw & Jaeger 1959, section 2.9) over short
/// spans.
FlatNight flat_night(const NightSetup& setup);

/// Sky view and cover of every coarse cell as one factor: the product of the block means, at most
/// most_loss_factor.
Field<float> loss_factor(const NightSetup& setup, const NightPlan& plan);

/// The loss of every coarse cell, refreshed from time to time, and what it has come to.
class NightForcing {
  public:
    NightForcing(const NightSetup& setup, const Field<double>& elevation, const Field<float>& factor);

    [[nodiscard]] const LossLaw& law() const { return law_; }
    /// q now, K m/s.
    [[nodiscard]] const Field<float>& loss() const { return loss_; }
    /// Books the present loss up to `time_s`, then takes the loss of that moment. `deficit_k` as in LossLaw.
    void refresh(double time_s, const Field<float>& deficit_k);
    /// Books the present loss up to `time_s`.
    void book(double time_s);
    /// Only these rows are booked from now on.
    void count(const RowSpan& rows) { counted_ = rows; }
    /// ∫ q dt summed over cells, K m; times the cell's area it is the heat lost.
    [[nodiscard]] double booked() const { return booked_; }
    void walk(StateWalk& walk) {
        walk.field(loss_);
        walk.value(time_);
        walk.own(booked_);
    }

  private:
    LossLaw law_;
    const Field<double>& elevation_;
    const Field<float>& factor_;
    Field<float> loss_;
    RowSpan counted_;
    double time_ = 0;
    double booked_ = 0;
};

}  // namespace lielow
