// SPDX-License-Identifier: Apache-2.0
#include "sim/night_forcing.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <string>
#include <vector>

#include "sim/dew.hpp"
#include "sim/errors.hpp"
#include "sim/net_longwave.hpp"
#include "sim/night_mixing.hpp"
#include "sim/stirred_column.hpp"

namespace lielow {
namespace {

/// What a unit of loss, held for `span` seconds, cools the ground by: 2 √(span/(π K)).
double cooling_of_span(double span, double mixing) {
    return 2 * std::sqrt(span / (std::numbers::pi * mixing));
}

void judge(const NightSetup& s) {
    if (s.loss_rule == LossRule::constant) return;
    if (!(s.air_share > 0 && s.air_share <= 1))
        throw InputError("night.air_share must be above 0 and at most 1");
    if (s.weather.empty()) {
        if (!(s.dew_point_k > 0)) throw InputError("the radiation of the night needs a dew point");
        if (s.dew_point_k > s.evening_air_k)
            throw InputError(
                "night.dew_point is above night.evening_air; air holds no more vapour than that");
    }
    for (std::size_t i = 1; i < s.weather.size(); ++i) {
        if (!(s.weather[i].time_s > s.weather[i - 1].time_s))
            throw InputError("the weather's times don't rise");
    }
}

Field<float> block_means(const Field<float>& fine, const NightPlan& plan) {
    Field<float> means(plan.grid.rows, plan.grid.cols);
    for (std::int32_t j = 0; j < means.rows(); ++j) {
        for (std::int32_t i = 0; i < means.cols(); ++i) {
            double sum = 0;
            int known = 0;
            for (std::int32_t r = j * plan.blocks.rows; r < std::min((j + 1) * plan.blocks.rows, fine.rows());
                 ++r) {
                for (std::int32_t c = i * plan.blocks.cols;
                     c < std::min((i + 1) * plan.blocks.cols, fine.cols()); ++c) {
                    if (std::isnan(fine(r, c))) continue;
                    sum += static_cast<double>(fine(r, c));
                    ++known;
                }
            }
            means(j, i) = known > 0 ? static_cast<float>(sum / known) : 1.0F;
        }
    }
    return means;
}

}  // namespace

LossLaw::LossLaw(const NightSetup& setup)
    : setup_(setup), heat_capacity_(air_heat_capacity(setup.evening_air_k, setup.reference_elevation_m)) {
    judge(setup);
}

/// Linear between records, held before the first and after the last.
WeatherHour LossLaw::weather_at(double time_s) const {
    if (setup_.weather.empty()) {
        return {.time_s = time_s,
                .air_k = setup_.evening_air_k,
                .dew_point_k = setup_.dew_point_k,
                .cloud = setup_.cloud};
    }
    const auto after = std::upper_bound(setup_.weather.begin(), setup_.weather.end(), time_s,
                                        [](double t, const WeatherHour& hour) { return t < hour.time_s; });
    if (after == setup_.weather.begin()) return setup_.weather.front();
    if (after == setup_.weather.end()) return setup_.weather.back();
    const WeatherHour& a = *(after - 1);
    const WeatherHour& b = *after;
    const double share = (time_s - a.time_s) / (b.time_s - a.time_s);
    return {.time_s = time_s,
            .air_k = std::lerp(a.air_k, b.air_k, share),
            .dew_point_k = std::lerp(a.dew_point_k, b.dew_point_k, share),
            .cloud = std::lerp(a.cloud, b.cloud, share)};
}

double LossLaw::loss_w_m2(double time_s, double elevation_m, double deficit_k, double factor) const {
    if (is_constant()) return factor * setup_.heat_loss_w_m2 * cloud_factor(setup_.cloud);
    const WeatherHour now = weather_at(time_s);
    const double lapse = dry_lapse * (elevation_m - setup_.reference_elevation_m);
    const double evening = setup_.evening_air_k - lapse;
    const double ground = evening - deficit_k;
    const double vapour = saturation_vapour_pressure_kpa(now.dew_point_k);
    const double net = net_longwave_w_m2(ground, now.air_k - lapse, vapour, now.cloud);
    if (!(net > 0)) return 0;
    return factor * setup_.air_share * net *
           sensible_share(ground, evening, vapour, air_pressure_kpa(elevation_m));
}

double LossLaw::settled_loss_k_m_s(double time_s, double elevation_m, double deficit_k, double factor,
                                   double before, double since_s) const {
    const double loss = loss_k_m_s(time_s, elevation_m, deficit_k, factor);
    if (is_constant() || !(since_s > 0)) return loss;
    const double ground = setup_.evening_air_k;
    const double per_kelvin = factor * setup_.air_share * 4 * stefan_boltzmann * ground * ground * ground;
    const double answer =
        per_kelvin / heat_capacity_ * cooling_of_span(since_s, calm_mixing_m2_s(setup_, loss));
    return (loss + answer * before) / (1 + answer);
}

namespace {

/// Mixing that follows stability has no superposition: the column itself, step by step.
FlatNight stirred_flat_night(const NightSetup& s) {
    const LossLaw law(s);
    const double height = s.reference_elevation_m;
    StirredColumn column(s.calm_friction_velocity_m_s, s.wind.roughness_m, s.evening_air_k);
    FlatNight flat;
    constexpr int spans = 200;
    const double span = s.duration_s / spans;
    double loss = 0;
    for (int n = 0; n < spans; ++n) {
        loss = law.settled_loss_k_m_s(n * span, height, column.deficit(), 1, loss, n > 0 ? span : 0);
        flat.peak_loss_k_m_s = std::max(flat.peak_loss_k_m_s, law.loss_k_m_s(n * span, height, 0, 1));
        flat.mean_loss_k_m_s += loss / spans;
        column.lose(loss, span);
        if (column.deficit() > flat.drop_k) {
            flat.drop_k = column.deficit();
            flat.coldest_loss_k_m_s = loss;
        }
    }
    return flat;
}

}  // namespace

FlatNight flat_night(const NightSetup& s) {
    if (s.mixing_law == MixingLaw::stability) return stirred_flat_night(s);
    const LossLaw law(s);
    FlatNight flat;
    const double height = s.reference_elevation_m;
    if (law.is_constant()) {
        const double q = law.loss_k_m_s(0, height, 0, 1);
        return {q * cooling_of_span(s.duration_s, s.mixing_m2_s), q, q, q};
    }
    constexpr int spans = 200;
    const double span = s.duration_s / spans;
    std::vector<double> loss;
    double drop = 0;
    for (int n = 0; n < spans; ++n) {
        loss.push_back(
            law.settled_loss_k_m_s(n * span, height, drop, 1, n > 0 ? loss.back() : 0.0, n > 0 ? span : 0));
        flat.peak_loss_k_m_s = std::max(flat.peak_loss_k_m_s, law.loss_k_m_s(n * span, height, 0, 1));
        flat.mean_loss_k_m_s += loss.back() / spans;
        drop = 0;
        for (int i = 0; i <= n; ++i) {
            drop += loss[static_cast<std::size_t>(i)] * (cooling_of_span((n + 1 - i) * span, s.mixing_m2_s) -
                                                         cooling_of_span((n - i) * span, s.mixing_m2_s));
        }
        if (drop > flat.drop_k) {
            flat.drop_k = drop;
            flat.coldest_loss_k_m_s = loss.back();
        }
    }
    return flat;
}

Field<float> loss_factor(const NightSetup& s, const NightPlan& plan) {
    Field<float> factor(plan.grid.rows, plan.grid.cols, 1.0F);
    for (const auto* part : {s.sky_view.get(), s.cover_loss.get()}) {
        if (part == nullptr) continue;
        const Field<float> means = block_means(*part, plan);
        for (std::size_t c = 0; c < factor.size(); ++c) factor[c] *= means[c];
    }
    for (float& f : factor.all()) f = std::min(f, static_cast<float>(most_loss_factor));
    return factor;
}

NightForcing::NightForcing(const NightSetup& setup, const Field<double>& elevation,
                           const Field<float>& factor)
    : law_(setup),
      elevation_(elevation),
      factor_(factor),
      loss_(elevation.rows(), elevation.cols()),
      counted_{0, elevation.rows()} {
    for (std::size_t c = 0; c < loss_.size(); ++c)
        loss_[c] = static_cast<float>(law_.loss_k_m_s(0, elevation_[c], 0, static_cast<double>(factor_[c])));
}

void NightForcing::book(double time_s) {
    double sum = 0;
    for (std::int32_t j = counted_.first; j < counted_.last; ++j) {
        for (const float q : loss_.row(j)) sum += static_cast<double>(q);
    }
    booked_ += sum * (time_s - time_);
    time_ = time_s;
}

void NightForcing::refresh(double time_s, const Field<float>& deficit_k) {
    const double since = time_s - time_;
    book(time_s);
    if (law_.is_constant()) return;
#pragma omp parallel for schedule(static)
    for (std::int32_t j = 0; j < loss_.rows(); ++j) {
        for (std::int32_t i = 0; i < loss_.cols(); ++i) {
            loss_(j, i) = static_cast<float>(law_.settled_loss_k_m_s(
                time_s, elevation_(j, i), static_cast<double>(deficit_k(j, i)),
                static_cast<double>(factor_(j, i)), static_cast<double>(loss_(j, i)), since));
        }
    }
}

}  // namespace lielow
