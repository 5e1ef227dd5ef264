// SPDX-License-Identifier: Apache-2.0
// Small storms for tests.
#pragma once

#include <cmath>

#include "sim/storm_flow.hpp"

namespace lielow {

inline constexpr double test_inch = 0.0254;
inline constexpr double test_hour = 3600;

/// `height(x, y)` in m at the middle of each cell; even rain of `rain_m` over `hours`; sealed ground; open
/// edges.
template <class Height>
StormPlan small_storm(const Grid& grid, double rain_m, double hours, Height height, float roughness = 0.05F) {
    StormPlan plan{grid,
                   Field<double>(grid.rows, grid.cols),
                   {},
                   storm_of_shape(RainShape::uniform, rain_m, hours * test_hour),
                   0,
                   ShareLoss{},
                   Field<float>(grid.rows, grid.cols, roughness),
                   {}};
    for (std::int32_t j = 0; j < grid.rows; ++j) {
        for (std::int32_t i = 0; i < grid.cols; ++i)
            plan.ground(j, i) = height((i + 0.5) * grid.dx, (j + 0.5) * grid.dy);
    }
    return plan;
}

inline Edges all_walls() {
    return {EdgeKind::wall, EdgeKind::wall, EdgeKind::wall, EdgeKind::wall};
}

/// A tilted ground with bowls, m.
inline double bowls(double x, double y) {
    return 100 + 0.01 * x + 0.5 * std::sin(x / 9) * std::sin(y / 7);
}

}  // namespace lielow
