// SPDX-License-Identifier: Apache-2.0
// What a stack holds and what has crossed its edges: sums in double precision whatever the sheets are kept
// in, row by row in fixed order.
#pragma once

#include <span>

#include "sim/grid.hpp"
#include "sim/sheet_array.hpp"

namespace lielow {

struct StackBudget {
    double volume = 0;            ///< Σ h over sheets and cells, m³
    double buoyancy_content = 0;  ///< Σ b_k h_k over cells, m⁴/s²; times θ0/g it is the heat missing, K m³
    double volume_in = 0;         ///< through the edges since the start, m³
    double buoyancy_in = 0;       ///< through the edges since the start, m⁴/s²
};

/// Rows of a grid that are counted: all of them unless it is cut out of a larger one.
struct LedgerRows {
    RowSpan rows;
    bool north = true;  ///< whether the grid's outermost faces there are an edge
    bool south = true;
};

/// Adds to volume_in and buoyancy_in what the fluxes through the grid's outermost faces, m²/s, bring in `dt`
/// s. `buoyancy`: b_k of each sheet, m/s².
template <class Real>
void count_edge_fluxes(const Grid& grid, const LedgerRows& counted, std::span<const double> buoyancy,
                       const SheetArray<Real>& flux_x, const SheetArray<Real>& flux_y, double dt,
                       StackBudget& budget);

/// Sets volume and buoyancy_content from the thickness of every sheet, m.
template <class Real>
void count_content(const Grid& grid, const RowSpan& rows, std::span<const double> buoyancy,
                   const SheetArray<Real>& thickness, StackBudget& budget);

}  // namespace lielow
