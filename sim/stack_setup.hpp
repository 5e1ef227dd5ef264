// SPDX-License-Identifier: Apache-2.0
// What a solver tells its sweeps before the first step: constants, steps of the bed, planes of cell values,
// and how fast the state it starts from moves.
#pragma once

#include <cstddef>
#include <cstdint>
#include <memory>
#include <span>

#include "sim/grid.hpp"
#include "sim/sheet_array.hpp"
#include "sim/stack_parameters.hpp"
#include "sim/stack_sweep.hpp"

namespace lielow {

/// One value a cell or face, laid out as one sheet of a SheetArray with its rim of ghosts.
template <class Real>
class CellPlane {
  public:
    CellPlane() = default;
    CellPlane(const Grid& grid, double value);
    /// The rim repeats the outermost cells, so that edge faces see their own cell's value.
    CellPlane(const Grid& grid, const Field<float>& values);

    /// Row 0, column 0; rows lie SheetArray::padded(cols) apart.
    [[nodiscard]] Real* cells() { return data_.get() + first_; }
    /// Everything that is stored, rim and padding too.
    [[nodiscard]] std::span<Real> all() { return {data_.get(), size_}; }

  private:
    std::ptrdiff_t first_ = 0;
    std::size_t size_ = 0;
    std::unique_ptr<Real[]> data_;
};

/// A sweep's constants; every pointer still null.
template <class Real>
Sweep<Real> sweep_constants(const Grid& grid, const StackParameters& p);

/// Rise of the bed from cell to cell, m, on x faces (down the columns if `along_rows` is false: on y faces);
/// walls at the edges rise higher than any sheet.
template <class Real>
CellPlane<Real> bed_steps(const Grid& grid, const Field<double>& ground, const Edges& edges, bool along_rows);

/// Share of a cell that may flow out in one step; below 1 so that thickness can't turn negative.
inline constexpr double outflow_limit = 0.95;

/// Longest step, s, at which waves cross no more than the share `courant` of a cell and no cell gives more
/// than the share `outflow` of what it holds; infinite at rest.
template <class Real>
double longest_step(const SweepRates<Real>& rates, double courant, double outflow);

/// Rates of a state no sweep has been over, an upper bound. Ghost cells and edge faces are to be filled.
template <class Real>
SweepRates<Real> first_rates(const Sweep<Real>& s, const SheetArray<Real>& h, const SheetArray<Real>& u,
                             const SheetArray<Real>& v);

}  // namespace lielow
