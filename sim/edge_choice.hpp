// SPDX-License-Identifier: Apache-2.0
// How much hangs on what is thought to lie beyond the ground's edge: the night once more, with other edges.
#pragma once

#include "sim/border_flow.hpp"
#include "sim/night.hpp"

namespace lielow {

/// The edges to compare a night with: open ones, or the far field for a night whose own are open.
EdgeKind other_edges(EdgeKind own);

/// By how much two nights on the same cells differ at their coldest, at plant height, over each cell, K, ≥ 0.
Field<float> coldest_difference(const NightResult& one, const NightResult& other, double plant_height_m);

/// Mean of `values`, which lie on `grid`, over a field on the cells `cells` of another night in the same
/// frame, whose first corner lies `east_m`, `south_m` from that of `grid`. NaN for a field without cells.
double mean_over(const Field<float>& values, const Grid& grid, const FieldCells& field, const Grid& cells,
                 double east_m, double south_m);

}  // namespace lielow
