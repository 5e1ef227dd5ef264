// SPDX-License-Identifier: Apache-2.0
#include "sim/hours_below.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

namespace lielow {

double seconds_below(double threshold, double first, double last, double seconds) {
    const double low = std::min(first, last);
    const double high = std::max(first, last);
    if (std::isnan(first) || std::isnan(last)) return NAN;
    if (high <= threshold) return high < threshold || low < threshold ? seconds : 0.0;
    if (low >= threshold) return 0.0;
    return seconds * (threshold - low) / (high - low);
}

HoursBelow::HoursBelow(std::vector<double> thresholds, Field<float>&& first, double time_s)
    : thresholds_(std::move(thresholds)), last_(std::move(first)), time_s_(time_s) {
    for (std::size_t n = 0; n < thresholds_.size(); ++n)
        hours_.emplace_back(last_.rows(), last_.cols(), 0.0F);
}

void HoursBelow::add(Field<float>&& temperature, double time_s) {
    const double hours = (time_s - time_s_) / 3600.0;
#pragma omp parallel for schedule(static)
    for (std::int32_t j = 0; j < last_.rows(); ++j) {
        for (std::size_t n = 0; n < thresholds_.size(); ++n) {
            for (std::int32_t i = 0; i < last_.cols(); ++i) {
                hours_[n](j, i) +=
                    static_cast<float>(seconds_below(thresholds_[n], static_cast<double>(last_(j, i)),
                                                     static_cast<double>(temperature(j, i)), hours));
            }
        }
    }
    last_ = std::move(temperature);
    time_s_ = time_s;
}

}  // namespace lielow
