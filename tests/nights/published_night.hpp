// SPDX-License-Identifier: Apache-2.0
// What was measured on real nights, and the same quantity of a modelled one.
//
// Bands come from the publication and were set down before the model was run: a range as printed; "up to x"
// from half of x to x, since a model night is as calm and clear as nights get; a single value within a factor
// of 1.5. Where a source gives words and no number, the number is ours and the entry says so.
#pragma once

#include <functional>
#include <string>
#include <vector>

#include "sim/night.hpp"

namespace lielow::nights {

struct PublishedValue {
    std::string name;      ///< of the test
    std::string quantity;  ///< what and where
    std::string source;
    std::string printed;  ///< what the source says, and what of it is from memory or ours
    std::string unit;
    double low = 0;   ///< of the band
    double high = 0;  ///< infinite where the source has no upper limit
    /// The model's value, on nights with these settings unless the site has its own.
    std::function<double(const NightSetup& defaults)> measure;
    /// Why the model is outside; empty where it must be inside.
    std::string open_defect;

    [[nodiscard]] bool holds(double value) const { return value >= low && value <= high; }
};

/// Sheets of every night here: twice the default, so that the step of the ladder hides nothing.
inline constexpr int usual_sheets = 24;

std::vector<PublishedValue> cooling_values();  ///< level ground: cooling curves, gradients near the ground
std::vector<PublishedValue> pool_values();     ///< basins and valleys
std::vector<PublishedValue> slope_values();    ///< drainage winds
std::vector<PublishedValue> all_values();

}  // namespace lielow::nights
