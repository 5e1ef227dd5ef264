// SPDX-License-Identifier: Apache-2.0
// How much hangs on what is thought to lie beyond the ground's edge: the night once more, with other edges.
#pragma once

#include <span>

#include "sim/night.hpp"
#include "sim/night_origin.hpp"

namespace lielow {

/// The edges to compare a night with: open ones, or the far field for a night whose own are open.
EdgeKind other_edges(EdgeKind own);

/// By how much two nights on the same cells differ at their coldest, at plant height, over each cell, K, ≥ 0.
Field<float> coldest_difference(const NightResult& one, const NightResult& other, double plant_height_m);

/// Mean of `values`, which lie on `grid`, over places on the cells of another night in the same frame, whose
/// first corner lies `east_m`, `south_m` from that of `grid`. NaN without places.
double mean_at(const Field<float>& values, const Grid& grid, std::span<const NightPlace> places,
               const Grid& places_grid, double east_m, double south_m);

}  // namespace lielow
