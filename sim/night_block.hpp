// SPDX-License-Identifier: Apache-2.0
// The steps of a block of a night that is run by windows: agreed on before any window takes them (private to
// sim/).
//
// A block's steps are as long as the whole grid's would be at its beginning. The flow may quicken meanwhile:
// at the Courant number night_courant there is room for that up to 1, where the scheme was found sound
// (docs/verification.md, "How far it can be driven"). A block is so short that the flow, were it to quicken
// half as fast again as in the block before, would not use the room up; every step is checked against it, and
// a block in which one was too long is done again with steps half as long.
#pragma once

#include <vector>

#include "sim/stack_sweep.hpp"

namespace lielow {

/// Longest step that may be begun when the flow moves like this, s, and the longest that may be taken.
double step_begun(const SweepRates<float>& rates);
double step_allowed(const SweepRates<float>& rates);
/// The greater of both in every part.
SweepRates<float> faster(const SweepRates<float>& a, const SweepRates<float>& b);

/// How fast the flow quickens.
class Quickening {
  public:
    /// `rates`: at a block's beginning and after each of its steps, which took `span` s in all.
    void see(const std::vector<SweepRates<float>>& rates, double span);
    /// Steps of `step` s that may be taken from `rates` on, at least 1.
    [[nodiscard]] int most_steps(const SweepRates<float>& rates, double step, int most) const;

  private:
    double per_second_ = 0;  ///< d ln(rate)/dt
    bool known_ = false;
};

/// Where a block stands when it begins, s after sunset.
struct BlockStart {
    double time = 0;
    double stop = 0;     ///< no step goes beyond
    double longest = 0;  ///< of its steps
    double first = 0;    ///< longest that its first step may be
    bool looks = false;  ///< whether the night is looked at at the stop
};

/// When its steps end: equal steps towards `stop`, `most` of them at the most, after a shorter first one
/// where that is asked for.
std::vector<double> block_ends(const BlockStart& start, int most);

}  // namespace lielow
