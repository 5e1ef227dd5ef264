// SPDX-License-Identifier: Apache-2.0
// How a storm's rain is spread over its hours: a mass curve, rain fallen since the start against time.
//
// NRCS 24-hour shapes I, IA, II and III: U.S. Soil Conservation Service, "Urban hydrology for small
// watersheds", Technical Release 55 (1986), app. B; NRCS National Engineering Handbook part 630, ch. 4. The
// ordinates used are those printed for unequal steps of time in Chow, Maidment & Mays, "Applied Hydrology"
// (1988), ch. 14; type II between 11.5 and 12.5 h has the steps of 6 min of Technical Release 20. Written
// down from memory, and checked against what is published about them (tests/test_hyetograph.cpp). Where newer
// local shapes exist (NOAA Atlas 14) they should be given as a table instead.
#pragma once

#include <cstdint>
#include <span>
#include <vector>

namespace lielow {

enum class RainShape : std::uint8_t { uniform, type_i, type_ia, type_ii, type_iii };

/// Depth of rain against time, linear between its points: intensity is constant from point to point.
class MassCurve {
  public:
    /// `time_s` rises strictly from 0, `depth_m` from 0 and never falls. Throws InputError otherwise, and for
    /// storms out of range (see validate_storm).
    MassCurve(std::vector<double> time_s, std::vector<double> depth_m);

    /// Rain since the start, m; 0 before it, the total after the end.
    [[nodiscard]] double depth_at(double time_s) const;
    [[nodiscard]] double duration_s() const { return time_s_.back(); }
    [[nodiscard]] double total_m() const { return depth_m_.back(); }
    /// Greatest intensity between two points, m/s.
    [[nodiscard]] double peak_intensity() const;
    /// Greatest depth that falls within any `window_s`, m.
    [[nodiscard]] double greatest_within(double window_s) const;
    [[nodiscard]] std::span<const double> times_s() const { return time_s_; }

  private:
    std::vector<double> time_s_, depth_m_;
};

/// A storm of `depth_m`. The NRCS shapes are of 24 h and throw InputError for another duration.
MassCurve storm_of_shape(RainShape shape, double depth_m, double duration_s);

/// Least and greatest storm that is believed: 0.1 mm, and 1.9 m (the greatest 24-hour rain on record is 1.825
/// m: Foc-Foc, La Réunion, 1966; World Meteorological Organization archive of extremes, from memory). Throws
/// InputError in one line otherwise.
void validate_storm(double depth_m, double duration_s);

}  // namespace lielow
