// SPDX-License-Identifier: Apache-2.0
// Temperature in a column from the heights of its isotherms.
#pragma once

#include <algorithm>

namespace lielow {

/// What the reading of a column needs besides its isotherms.
struct ColumnScale {
    double sheet_step = 1.0;  ///< δ, K
    double surface_gradient =
        0;  ///< q/K, K/m: slope below the lowest isotherm, where the column loses heat to the ground
};

/// How much colder than the evening air it is at `height` above the ground, K, >= 0.
///
/// heights[k], k = 0..sheets-1, never rising: isotherm k is (k + 1/2) δ colder than the evening air; 0 where
/// it doesn't exist. Linear between isotherms; below the lowest the slope is q/K, for at most one δ; above
/// the top one it fades out with the slope of the top gap.
template <class Heights>
double deficit_at(const ColumnScale& scale, const Heights& heights, int sheets, double height) {
    constexpr double least_gap = 1e-6;
    const double step = scale.sheet_step;
    int present = 0;
    while (present < sheets && heights[present] > 0) ++present;
    if (present == 0) return 0.0;
    int above = 0;  // Isotherms above `height`.
    while (above < present && heights[above] > height) ++above;
    if (above == 0) {
        const double slope = present > 1 ? step / std::max<double>(heights[0] - heights[1], least_gap)
                                         : scale.surface_gradient;
        return std::max(0.0, 0.5 * step - (height - heights[0]) * slope);
    }
    const double upper = heights[above - 1];
    if (above == present)
        return (present - 0.5) * step + std::min(scale.surface_gradient * (upper - height), step);
    const double share = (upper - height) / std::max<double>(upper - heights[above], least_gap);
    return (above - 0.5 + std::clamp(share, 0.0, 1.0)) * step;
}

}  // namespace lielow
