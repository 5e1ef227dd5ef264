// SPDX-License-Identifier: Apache-2.0
#include "sim/night_block.hpp"

#include <algorithm>
#include <cmath>

#include "sim/night.hpp"
#include "sim/stack_setup.hpp"

namespace lielow {

double step_begun(const SweepRates<float>& rates) {
    return std::min(StackParameters{}.longest_step, longest_step(rates, night_courant, outflow_limit));
}

double step_allowed(const SweepRates<float>& rates) {
    constexpr double rounding = 1 + 1e-6;
    return rounding * longest_step(rates, 1.0, 1.0);
}

SweepRates<float> faster(const SweepRates<float>& a, const SweepRates<float>& b) {
    return {std::max(a.courant_x, b.courant_x), std::max(a.courant_y, b.courant_y),
            std::max(a.outflow_x, b.outflow_x), std::max(a.outflow_y, b.outflow_y), a.poison + b.poison};
}

void Quickening::see(const std::vector<SweepRates<float>>& rates, double span) {
    const double first = step_begun(rates.front());
    double shortest = first;
    for (const SweepRates<float>& later : rates) shortest = std::min(shortest, step_begun(later));
    known_ = rates.front().courant_x > 0;
    per_second_ = known_ ? std::log(first / shortest) / span : 0;
}

int Quickening::most_steps(const SweepRates<float>& rates, double step, int most) const {
    if (!known_) return 1;
    constexpr double caution = 1.5;
    const double room = std::log(step_allowed(rates) / step);
    if (!(room > 0)) return 1;
    if (!(per_second_ > 0)) return most;  // a flow that grows no faster
    const double steps = room / (caution * per_second_ * step);
    return steps < most ? std::max(1, static_cast<int>(steps)) : most;
}

std::vector<double> block_ends(const BlockStart& start, int most) {
    std::vector<double> ends;
    double from = start.time;
    if (start.first < start.longest && start.time + start.first < start.stop) {
        from += start.first;
        ends.push_back(from);
        if (--most == 0) return ends;
    }
    constexpr double rounding = 1e-6;
    const double left = start.stop - from;
    const double steps = std::max(1.0, std::ceil(left / start.longest - rounding));
    const double blocks = std::ceil(steps / most);
    const auto count = static_cast<int>(std::ceil(steps / blocks));
    for (int n = 1; n <= count; ++n)
        ends.push_back(n == static_cast<int>(steps) ? start.stop : from + left * n / steps);
    return ends;
}

}  // namespace lielow
