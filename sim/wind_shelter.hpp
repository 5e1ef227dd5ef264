// SPDX-License-Identifier: Apache-2.0
// How much of the wind over open ground reaches each cell, from the horizon it has upwind.
//
// The horizon is the maximum upwind slope of Winstral, Elder & Davis (2002), Spatial snow modeling of
// wind-redistributed snow using terrain-based parameters, Journal of Hydrometeorology 3, 524-538: the
// steepest line of sight up to any ground upwind, averaged over seven directions, 5 degrees apart. Their
// search ends after a given distance; here it ends with the grid, for what lies far hardly stands high. What
// that leaves of the wind is Ryan's (1977) sheltering factor, A mathematical model for diagnosis and
// prediction of surface winds in mountainous terrain, Journal of Applied Meteorology 16, 571-584.
#pragma once

#include "sim/grid.hpp"

namespace lielow {

/// Tangent of the maximum upwind slope, 0 where no ground upwind stands higher; NaN where `z` (m) is. The
/// wind blows from `from_rad`, clockwise from the direction up the rows (north in a north-up raster). The
/// same bits for any number of threads.
Field<float> upwind_slope(const Grid& grid, const Field<float>& z, double from_rad);

/// Share of the wind that is left below a horizon of this tangent: 1 − arctan(17 tangent)/100°, Ryan's factor
/// (figures from memory; he counts slopes in per cent and angles in degrees). 0.9 at 1 %, 0.4 at 10 %.
double sheltered_share(double tangent);

/// Share of open ground's wind in every cell, 0..1; 1 where `z` isn't known. `from_rad` as above; where it is
/// NaN, the direction not known, the mean of sixteen directions.
Field<float> wind_share(const Grid& grid, const Field<float>& z, double from_rad);

}  // namespace lielow
