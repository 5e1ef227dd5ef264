// SPDX-License-Identifier: Apache-2.0
// How long and how hard each place freezes in a night: the temperature at plant height through time, looked
// at sample by sample, without keeping the maps.
#pragma once

#include <deque>
#include <functional>

#include "sim/night.hpp"

namespace lielow {

/// Tables of critical temperatures mean so long an exposure (30 minutes), s.
inline constexpr double table_exposure_s = 1800;

/// Fed with one map of temperatures after another; linear in time between them. Any one scale of
/// temperatures; NaN stays NaN. Keeps the maps of the last `exposure_s` and three more.
class FrostExposure {
  public:
    FrostExposure(std::int32_t rows, std::int32_t cols, double threshold, double exposure_s);

    /// `time_s` must rise from call to call.
    void add(double time_s, Field<float>&& temperature);

    /// Hours during which it was below the threshold.
    [[nodiscard]] const Field<float>& hours() const { return hours_; }
    /// Lowest temperature of all samples.
    [[nodiscard]] const Field<float>& lowest() const { return lowest_; }
    /// Lowest temperature that was held, or fallen below, for `exposure_s` on end, over spells that end at a
    /// sample. The last sample is taken to last: a night is coldest about sunrise, and the air stays near
    /// that for a while after.
    [[nodiscard]] Field<float> held() const;

    // One each, for callers that are done: frees the maps.
    Field<float> take_hours() { return std::move(hours_); }
    Field<float> take_lowest() { return std::move(lowest_); }

  private:
    struct Sample {
        double time_s;
        Field<float> temperature;
    };
    void count_hours(const Sample& before, const Sample& now);
    void hold();

    double threshold_;
    double exposure_s_;
    std::deque<Sample> recent_;
    Field<float> hours_;
    Field<float> lowest_;
    Field<float> held_;
};

/// Exposure of every DEM cell through a solved night, °C, at `setup`'s plant height. `go_on` is asked before
/// each sample; the run throws Interrupted when it says no.
FrostExposure night_exposure(const Ground& ground, const NightSetup& setup, const NightResult& night,
                             double threshold_c, const std::function<bool()>& go_on = {});

}  // namespace lielow
