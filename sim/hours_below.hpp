// SPDX-License-Identifier: Apache-2.0
// How long it is below given temperatures, from temperatures known now and then.
#pragma once

#include <vector>

#include "sim/grid.hpp"

namespace lielow {

/// Seconds of an interval below `threshold` when the temperature runs straight from `first` to `last`. NaN
/// when either isn't known.
double seconds_below(double threshold, double first, double last, double seconds);

/// Sums up a raster of temperatures that comes moment after moment.
class HoursBelow {
  public:
    /// `thresholds` in the unit of the temperatures; `first`: temperatures at `time_s`.
    HoursBelow(std::vector<double> thresholds, Field<float>&& first, double time_s);
    void add(Field<float>&& temperature, double time_s);
    /// Hours below threshold n so far; NaN where a temperature wasn't known. Gives the field away.
    Field<float> take(std::size_t n) { return std::move(hours_[n]); }

  private:
    std::vector<double> thresholds_;
    Field<float> last_;
    double time_s_;
    std::vector<Field<float>> hours_;
};

}  // namespace lielow
