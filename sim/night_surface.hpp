// SPDX-License-Identifier: Apache-2.0
// What stands on the ground of a night, cell by cell: canopies, drag of the ground, solid things, heaters.
#pragma once

#include <vector>

#include "sim/grid.hpp"

namespace lielow {

template <class Real>
class StackSolver;

/// On the night's own (coarse) grid. An empty field says nothing about its matter.
struct NightSurface {
    Field<float> canopy_top;   ///< m; goes with canopy_drag
    Field<float> canopy_drag;  ///< drag coefficient × frontal area density, 1/m
    Field<float> ground_drag;  ///< coefficient, in place of NightSetup::ground_drag
    Field<float> raised;       ///< m by which solid things raise the ground; below 0: it is cut through
    Field<float> heat_w_m2;    ///< that heaters give the air, 0 elsewhere
};

/// Sums what stands in each cell into one height and one drag. Things of different height in one cell are
/// replaced by one that has their whole drag area, Σ drag × height, and its mean height.
class CanopySum {
  public:
    explicit CanopySum(const Grid& grid)
        : area_(grid.rows, grid.cols, 0.0), moment_(grid.rows, grid.cols, 0.0) {}

    /// `drag` in 1/m, a mean over the cell.
    void add(std::int32_t row, std::int32_t col, double height, double drag) {
        area_(row, col) += drag * height;
        moment_(row, col) += drag * height * height;
        any_ = any_ || drag * height > 0;
    }
    /// Into `surface`, which stays without a canopy when nothing stands. Cells without drag get the height of
    /// the highest neighbour across a face: at a face the flow takes the mean of both sides' heights, and a
    /// hedge one cell wide must not count at half its height.
    void put(NightSurface& surface) const;

  private:
    Field<double> area_;    ///< drag area, dimensionless
    Field<double> moment_;  ///< its moment about the ground, m
    bool any_ = false;
};

/// The ground the air flows over: `ground` with what is solid on it.
Field<double> raised_ground(const NightSurface& surface, const Field<double>& ground);

/// Hands canopies and the ground's drag over.
void lay_surface(const NightSurface& surface, StackSolver<float>& solver);

/// What the air over cells whose ground was raised or cut is told to be where people ask: that of the cells
/// beside them, over the ground as it was. `heights`: isotherms above the changed ground, m, replaced there.
void read_beside_raised(const Field<float>& raised, std::vector<Field<float>>& heights);
void read_beside_raised(const Field<float>& raised, Field<float>& values);

}  // namespace lielow
