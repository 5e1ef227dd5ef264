// SPDX-License-Identifier: Apache-2.0
// How much of the sky the ground sees, from the horizons around every cell.
//
// Dozier & Frew (1990), Rapid calculation of terrain parameters for radiation modeling from digital elevation
// data, IEEE Transactions on Geoscience and Remote Sensing 28, 963-969: with a horizon at the angle H from
// the zenith in the direction φ, on ground that slopes by S and faces A,
//
//     V = 1/(2π) ∫ [cos S sin²H + sin S cos(φ − A) (H − sin H cos H)] dφ ,
//
// the share of what an evenly bright sky would send to open level ground that reaches a unit of this surface
// (or of what it radiates that gets away). 1 on open level ground; cos β between two long ridges at the
// horizon angle β; cos² β in a pit. Horizons: sim/horizon_scan.hpp.
#pragma once

#include "sim/grid.hpp"

namespace lielow {

inline constexpr int fewest_sky_directions = 4;
inline constexpr int most_sky_directions = 360;

/// V of every cell, 0..1; NaN where `z` (m) is. `directions` is even and within the bounds above, else
/// InputError. The same bits for any number of threads.
Field<float> sky_view(const Grid& grid, const Field<float>& z, int directions = 16);

/// V/cos S: the same for a unit of the map's area, which a slope's surface outgrows. What an evenly warm
/// ground loses through a level lid laid over it is what level ground would lose, so that the mean of this
/// over a hollow filled to its lid is 1: its rims lie above 1, its floor below.
Field<float> sky_view_per_map_area(const Grid& grid, const Field<float>& z, int directions = 16);

}  // namespace lielow
