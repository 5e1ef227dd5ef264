// SPDX-License-Identifier: Apache-2.0
// A stack of shallow sheets over uneven ground: the only flow code of the project. Water is a stack of one
// sheet, a frost night a stack of sheets of ever colder air. Equations, scheme and sources: docs/physics.md.
#pragma once

#include <cstdint>
#include <memory>
#include <span>
#include <vector>

#include "sim/grid.hpp"
#include "sim/sheet_array.hpp"
#include "sim/stack_edges.hpp"
#include "sim/stack_ledger.hpp"
#include "sim/stack_parameters.hpp"
#include "sim/stack_setup.hpp"
#include "sim/stack_sweep.hpp"
#include "sim/state_walk.hpp"

namespace lielow {

/// Explicit solver; instantiated for float and double. Results don't depend on the number of threads.
///
/// Sheets are numbered from 0 on top. Thickness lives in cells, velocity on faces: x face (j, i) between
/// cells (j, i−1) and (j, i), i = 0..cols; y face (j, i) between cells (j−1, i) and (j, i), j = 0..rows,
/// positive down the rows. In the second-order scheme velocities
/// stand half a step ahead of thicknesses in time.
template <class Real>
class StackSolver {
  public:
    /// `ground` in m, finite everywhere, same shape as `grid`. Throws InputError on parameters out of range.
    StackSolver(const Grid& grid, const Field<double>& ground, const StackParameters& parameters);

    [[nodiscard]] const Grid& grid() const { return grid_; }
    [[nodiscard]] int sheets() const { return sweep_.sheets; }
    [[nodiscard]] double time() const { return time_; }
    [[nodiscard]] std::int64_t steps() const { return steps_; }

    [[nodiscard]] Real thickness(int sheet, std::int32_t row, std::int32_t col) const {
        return h_.row(row, sheet)[col];
    }
    void set_thickness(int sheet, std::int32_t row, std::int32_t col, Real metres) {
        h_.row(row, sheet)[col] = metres;
        present_.data()[row + SheetArray<Real>::rim] = sheets();
    }
    [[nodiscard]] Real velocity_x(int sheet, std::int32_t row, std::int32_t face) const {
        return u_.row(row, sheet)[face];
    }
    [[nodiscard]] Real velocity_y(int sheet, std::int32_t face, std::int32_t col) const {
        return v_.row(face, sheet)[col];
    }
    void set_velocity_x(int sheet, std::int32_t row, std::int32_t face, Real speed) {
        u_.row(row, sheet)[face] = speed;
    }
    void set_velocity_y(int sheet, std::int32_t face, std::int32_t col, Real speed) {
        v_.row(face, sheet)[col] = speed;
    }
    /// Height of isotherm `sheet` above the ground: the sheet and all below it, m.
    [[nodiscard]] Real isotherm_height(int sheet, std::int32_t row, std::int32_t col) const;
    /// Whole rows for bulk readers: column 0 of a sheet.
    [[nodiscard]] const Real* thickness_row(int sheet, std::int32_t row) const { return h_.row(row, sheet); }
    [[nodiscard]] const Real* velocity_x_row(int sheet, std::int32_t row) const { return u_.row(row, sheet); }
    [[nodiscard]] const Real* velocity_y_row(int sheet, std::int32_t row) const { return v_.row(row, sheet); }

    /// Loss to the ground q = Q/(ρ cp), K m/s, for every cell (exchange only). Throws InputError above K
    /// δ/gap floor, which is more than the column could pass upwards.
    void set_loss(double uniform);
    void set_loss(const Field<float>& loss);
    /// Friction velocity of every cell, m/s, that still air and wind have at all heights, > 0, and that the
    /// flow over the ground has there (mixing that follows stability only).
    void set_stirring(const Field<float>& friction_velocity, const Field<float>& of_flow);
    /// Source into the top sheet, m/s (rain).
    void set_source(const Field<float>& source);
    /// Coefficient of the drag law for every cell, in place of the uniform one.
    void set_ground_drag(const Field<float>& coefficient);
    /// Standing obstacles: height, m, and drag coefficient × frontal area density, 1/m.
    void set_canopy(const Field<float>& top, const Field<float>& drag);
    /// Calm air over the level open ground outside (edges of kind far_field): height of each isotherm above
    /// it, m, 0 where a sheet doesn't exist, and its elevation, m. Its isotherms lie level, so they stand
    /// lower above edge cells that are higher. Below that ground only the share `fill` of the depth holds the
    /// coldest sheet (1 once it is fully grown). For water (one sheet) it is a given water level: elevation
    /// plus isotherm height.
    void set_far_field(std::span<const double> isotherm_height, double elevation, double fill) {
        edges_.set_far_field(isotherm_height, elevation, fill);
    }
    /// Discharge through a side of kind inflow into the top sheet, m²/s, and its depth there, m (0: the depth
    /// inside, but no less than critical; a depth is needed where the inflow is faster than its waves).
    void set_inflow(Side side, double discharge, double depth = 0) {
        edges_.set_inflow(side, discharge, depth);
    }

    /// What lies outside a side of kind given, until it is set anew: one place for each row (west, east) or
    /// column (north, south).
    void set_outside(Side side, const SideOutside& outside) { edges_.set_outside(side, outside); }
    /// By how much the ground outside a side of kind given stands higher than the cells inside, m, one value
    /// a place; 0 unless set.
    void set_outside_rise(Side side, std::span<const double> rise);

    /// The grid is cut out of a larger one at its first row, its last, or both: what lies beyond a cut isn't
    /// known. So each step leaves one row more beside a cut behind, as an earlier step left it, and
    /// whole_rows() are as they would be in the larger grid, to the bit. `counted`: rows that the budget
    /// counts. Before the first step; edges at cuts to be of kind wall. Throws InputError for the
    /// second-order scheme, the steps of which reach farther.
    void set_cuts(bool north, bool south, const RowSpan& counted);
    /// Rows of cells that no cut has spoilt yet. x faces are good from the second of them on where there is
    /// a cut on that side, y faces between two of them.
    [[nodiscard]] RowSpan whole_rows() const;

    /// What the next step's length depends on: over whole_rows() only.
    [[nodiscard]] const SweepRates<Real>& rates() const { return rates_; }
    /// Longest stable step from the present state, s.
    [[nodiscard]] double stable_step() const;
    /// One step of at most `at_most` seconds; returns its length. Throws RunError when the state is no longer
    /// finite or so fast that time would stand still.
    double step(double at_most);
    /// One of the equal steps that lead to `time`; returns its length.
    double step_towards(double time);
    /// Steps until `time` is reached exactly.
    void run_until(double time);
    /// One step to `time`, however long it is.
    void step_to(double time);

    [[nodiscard]] StackBudget budget() const;
    /// Through the edges since the start, m³: a part of the budget that costs nothing.
    [[nodiscard]] double volume_in() const { return crossed_.volume_in; }

    /// Walks over all that steps and set_… functions of every moment change: thickness and velocity to the
    /// bit, loss, stirring, time, ledger. What is laid once (ground, drag, canopy), the source and what lies
    /// outside the edges isn't part of it: to be laid, and given before the next step, as in the run that was
    /// kept. Where the walk is carried, loss and stirring are to be set likewise.
    void walk(StateWalk& walk);

  private:
    /// Rows that one thread sweeps, and its scratch.
    struct Band {
        int first;
        int last;
        Real* scratch;
    };
    /// Rows of the two sweeps of the next step: all but those that cuts spoil.
    [[nodiscard]] RowSpan rows_of_thickness() const;
    [[nodiscard]] RowSpan rows_of_velocity() const;
    void fill_ghosts();
    void advance(double dt);
    /// Counts the sheets of each row anew.
    void count_sheets();
    void point_sweeps();
    void thickness_first(const Band& band);
    void thickness_second(const Band& band);
    SweepRates<Real> sweep_bands(void (StackSolver::*thickness)(const Band&));
    void start_velocities(double dt);
    /// Counts in what the ghost columns of `thickness` hold.
    static void count_ghosts(const SheetArray<Real>& thickness, const Grid& grid, std::vector<int>& present);
    /// New values for a plane; returns its cells.
    template <class Values>
    const Real* replace(CellPlane<Real>& plane, const Values& values);

    Grid grid_;
    StackParameters parameters_;
    SweepFunctions<Real> functions_;
    Sweep<Real> sweep_;
    SheetArray<Real> h_, h_new_, u_, u_new_, v_, v_new_, qx_, qy_, rise_, h_half_, u_star_, v_star_;
    std::vector<int> present_, present_new_;  ///< see Sweep; of rows -rim to rows + rim - 1; ghost rows
                                              ///< always count every sheet
    CellPlane<Real> bed_step_x_, bed_step_y_, source_, loss_, stirring_, flow_stirring_, ground_drag_,
        canopy_top_, canopy_drag_;
    StackEdges<Real> edges_;
    std::vector<std::unique_ptr<Real[]>> scratch_;  ///< one a thread
    SweepRates<Real> rates_;
    double lead_ = 0;       ///< by which the velocities stand ahead of the thicknesses, s (second order only)
    double last_pull_ = 1;  ///< s by which the velocities were last moved
    bool rates_known_ = false;
    LedgerRows counted_;
    bool cut_north_ = false;
    bool cut_south_ = false;
    std::int32_t behind_ = 0;  ///< rows beside each cut that have been left behind
    double time_ = 0;
    std::int64_t steps_ = 0;
    StackBudget crossed_;  ///< through the edges; the content is counted when asked for
};

extern template class StackSolver<float>;
extern template class StackSolver<double>;

}  // namespace lielow
