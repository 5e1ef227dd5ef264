// SPDX-License-Identifier: Apache-2.0
#include "sim/frost_exposure.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "sim/errors.hpp"
#include "sim/night_map.hpp"

namespace lielow {
namespace {

/// Share of the time between two samples, linear between them, spent below the threshold.
float share_below(float before, float now, float threshold) {
    const bool was = before < threshold;
    const bool is = now < threshold;
    if (was == is) return was ? 1.0F : 0.0F;
    const float crossing = (threshold - before) / (now - before);
    return was ? crossing : 1.0F - crossing;
}

/// Like std::max and std::min, but NaN wins: a cell that isn't known stays so.
float warmer_of(float a, float b) {
    return a > b || std::isnan(a) ? a : b;
}
float colder_of(float a, float b) {
    return a < b || std::isnan(a) ? a : b;
}

}  // namespace

FrostExposure::FrostExposure(std::int32_t rows, std::int32_t cols, double threshold, double exposure_s)
    : threshold_(threshold),
      exposure_s_(exposure_s),
      hours_(rows, cols, 0.0F),
      lowest_(rows, cols, std::numeric_limits<float>::infinity()),
      held_(rows, cols, std::numeric_limits<float>::infinity()) {}

void FrostExposure::add(double time_s, Field<float>&& temperature) {
    if (!recent_.empty() && !(time_s > recent_.back().time_s))
        throw RunError("samples of a night must follow one another in time");
    recent_.push_back({time_s, std::move(temperature)});
    const Field<float>& now = recent_.back().temperature;
    for (std::size_t c = 0; c < now.size(); ++c) {
        lowest_[c] = std::isnan(now[c]) ? now[c] : colder_of(lowest_[c], now[c]);
    }
    if (recent_.size() > 1) count_hours(recent_[recent_.size() - 2], recent_.back());
    // One sample at or before the beginning of the spell that ends now is needed, no more.
    while (recent_.size() > 1 && recent_[1].time_s <= time_s - exposure_s_) recent_.pop_front();
    if (recent_.front().time_s <= time_s - exposure_s_) hold();
}

void FrostExposure::count_hours(const Sample& before, const Sample& now) {
    const auto hours = static_cast<float>((now.time_s - before.time_s) / 3600);
    const auto threshold = static_cast<float>(threshold_);
#pragma omp parallel for schedule(static)
    for (std::int32_t j = 0; j < hours_.rows(); ++j) {
        for (std::int32_t i = 0; i < hours_.cols(); ++i) {
            const float last = now.temperature(j, i);
            hours_(j, i) = std::isnan(last) ? last
                                            : hours_(j, i) + hours * share_below(before.temperature(j, i),
                                                                                 last, threshold);
        }
    }
}

/// The warmest moment of the spell that ends now: at its first moment, between two samples, or at a sample.
void FrostExposure::hold() {
    const double begin = recent_.back().time_s - exposure_s_;
    const Sample& first = recent_[0];
    const Sample& second = recent_.size() > 1 ? recent_[1] : first;
    const double gap = second.time_s - first.time_s;
    const auto share = static_cast<float>(gap > 0 ? (begin - first.time_s) / gap : 0.0);
#pragma omp parallel for schedule(static)
    for (std::int32_t j = 0; j < held_.rows(); ++j) {
        for (std::int32_t i = 0; i < held_.cols(); ++i) {
            const float at_first = first.temperature(j, i);
            float warmest = at_first + share * (second.temperature(j, i) - at_first);
            for (std::size_t s = 1; s < recent_.size(); ++s)
                warmest = warmer_of(warmest, recent_[s].temperature(j, i));
            held_(j, i) = std::isnan(warmest) ? warmest : colder_of(held_(j, i), warmest);
        }
    }
}

Field<float> FrostExposure::held() const {
    Field<float> result = held_.clone();
    if (recent_.empty()) return result;
    const Field<float>& last = recent_.back().temperature;
    for (std::size_t c = 0; c < result.size(); ++c)
        result[c] = std::isnan(last[c]) ? last[c] : colder_of(result[c], last[c]);
    return result;
}

FrostExposure night_exposure(const Ground& ground, const NightSetup& setup, const NightResult& night,
                             double threshold_c, const std::function<bool()>& go_on) {
    FrostExposure exposure(ground.grid.rows, ground.grid.cols, threshold_c, table_exposure_s);
    const auto add = [&](double time_s, Field<float>&& deficit) {
        if (go_on && !go_on()) throw Interrupted();
        deficit_to_celsius(ground, setup, deficit);
        exposure.add(time_s, std::move(deficit));
    };
    // At sunset nothing has cooled yet.
    Field<float> evening(ground.grid.rows, ground.grid.cols, 0.0F);
    for (std::size_t c = 0; c < evening.size(); ++c)
        if (ground.known[c] == 0) evening[c] = std::numeric_limits<float>::quiet_NaN();
    add(0, std::move(evening));
    for (const NightState& state : night.states) {
        add(state.time_s, map_deficit(ground,
                                      IsothermSurfaces(ground, night.plan, night.scale, night.ground,
                                                       state.isotherm_height, &state.gradient),
                                      night.scale, setup.plant_height_m));
    }
    return exposure;
}

}  // namespace lielow
