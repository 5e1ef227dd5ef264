// SPDX-License-Identifier: Apache-2.0
// The two sweeps of a step over a band of rows, as plain functions on raw rows so that they can be compiled
// once for each instruction set (sim/CMakeLists.txt) and picked at run time. Everything the solver does to a
// cell is in stack_sweep.cpp.
#pragma once

#include <cstddef>

#include "sim/stack_parameters.hpp"

namespace lielow {

/// All a sweep reads and writes. Pointers stand at row 0, sheet 0, column 0 of arrays with a rim of ghosts
/// (SheetArray::rim). Face (row j, column i) of x lies between cells i-1 and i; of y between rows j-1 and j.
template <class Real>
struct Sweep {
    int rows = 0;
    int cols = 0;
    int sheets = 0;
    std::ptrdiff_t stride = 0;      ///< from sheet to sheet; also from row to row of a plane
    std::ptrdiff_t row_stride = 0;  ///< from row to row

    Real* h = nullptr;        ///< thickness, m
    const Real* u = nullptr;  ///< velocity on x faces, m/s
    const Real* v = nullptr;  ///< velocity on y faces, m/s
    Real* h_new = nullptr;
    Real* h_half =
        nullptr;  ///< thickness at the middle of the step, then the payable share (second order only)
    Real* u_star =
        nullptr;  ///< in: velocity of the step before; then extrapolated to the new time (second order only)
    Real* v_star = nullptr;
    Real* u_new = nullptr;
    Real* v_new = nullptr;
    Real* qx = nullptr;  ///< flux through x faces, m²/s
    Real* qy = nullptr;
    Real* rise = nullptr;  ///< how far the exchange lifted isotherm k in this step, m (exchange only)

    /// Sheets that may be there in each row, counted from the top, ghosts included: below them every
    /// thickness and velocity of the row is 0. Indices as for rows.
    const int* present = nullptr;  ///< of h
    int* present_new = nullptr;    ///< of h_new

    // Planes (one value a cell or face).
    const Real* bed_step_x = nullptr;  ///< z(i) - z(i-1), m
    const Real* bed_step_y = nullptr;  ///< z(j) - z(j-1), m
    const Real* source = nullptr;      ///< m/s into the top sheet; may be null
    const Real* loss = nullptr;        ///< q, K m/s, out of the lowest air (exchange only)
    const Real* stirring =
        nullptr;  ///< friction velocity, m/s, at all heights; null where the mixing is uniform
    const Real* flow_stirring = nullptr;  ///< the same at the ground, of the flow over it
    const Real* ground_drag = nullptr;    ///< coefficient of the drag law
    const Real* canopy_top = nullptr;     ///< m; may be null
    const Real* canopy_drag = nullptr;    ///< drag coefficient × leaf and stem area density, 1/m

    Real buoyancy[StackParameters::most_sheets] = {};
    Real inverse_buoyancy[StackParameters::most_sheets] = {};
    Real dt = 0;             ///< of the thickness, s
    Real dt_velocity = 0;    ///< of the velocity, s
    Real extrapolation = 0;  ///< half a velocity step over the last one
    SchemeOrder order = SchemeOrder::first;
    Real inverse_dx = 0;
    Real inverse_dy = 0;
    Real wave_factor = 0;  ///< sqrt(1/dx² + 1/dy²), 1/m

    bool exchange = false;
    int substeps = 1;
    Real mixing = 0;
    Real sheet_step = 1;
    Real gap_floor = 1;
    Real roughness = 0;  ///< m

    DragLaw drag_law = DragLaw::none;
    Real deep_drag = 0;  ///< as DeepRoughness; 0 = none
    Real thin_to = 0;
    Real thin_to_deep = 1;  ///< 1 / (deep_from - thin_to), 1/m
    Real drag_height = 2;
    Real interface_drag = 0;
    Real momentum_mixing = 0;
    Real wind_x = 0;
    Real wind_y = 0;
};

/// What the next step's length depends on, over the rows swept.
template <class Real>
struct SweepRates {
    Real courant_x = 0;  ///< max over x faces of |u|/dx + ½ c·wave_factor, 1/s
    Real courant_y = 0;
    Real outflow_x = 0;  ///< max of |u|/dx, 1/s
    Real outflow_y = 0;
    Real poison = 0;  ///< 0 while every value is finite, not-a-number afterwards
};

/// Elements of scratch a sweep needs.
inline constexpr std::ptrdiff_t sweep_scratch(std::ptrdiff_t row_stride, std::ptrdiff_t stride) {
    return 6 * row_stride + 11 * stride;
}

/// Thickness of rows [first, last): h_new from h, u, v; leaves the fluxes in qx, qy (y face `last` too if
/// last == rows), the exchange's work in `rise`. Reads h of rows first-1 .. last.
template <class Real>
using ThicknessSweep = void (*)(const Sweep<Real>&, int first, int last, Real* scratch);

/// Velocities of x faces of rows [first, last) and y faces [first, last) (and `rows` if last == rows), from
/// h_new and the fluxes.
template <class Real>
using VelocitySweep = void (*)(const Sweep<Real>&, int first, int last, Real* scratch, SweepRates<Real>&);

/// A stage of the second-order thickness step over rows [first, last); all rows must be through a stage
/// before the next begins.
template <class Real>
using StageSweep = void (*)(const Sweep<Real>&, int first, int last, Real* scratch);

template <class Real>
struct SweepFunctions {
    ThicknessSweep<Real> thickness;
    VelocitySweep<Real> velocity;
    StageSweep<Real> half_step;  ///< second order: h_half
    StageSweep<Real> fluxes;     ///< second order: qx, qy from h_half
    StageSweep<Real> payable;    ///< second order: payable shares into h_half
    StageSweep<Real> pay;        ///< second order: qx, qy as paid
    StageSweep<Real> update;     ///< second order: h_new, exchange, u_star and v_star
    const char* instruction_set;
};

/// The fastest build of the sweeps this processor can run. All builds give the same results bit for bit (no
/// contraction).
template <class Real>
SweepFunctions<Real> sweep_functions();

}  // namespace lielow
