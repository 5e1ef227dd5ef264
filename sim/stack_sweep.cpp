// SPDX-License-Identifier: Apache-2.0
// Compiled once per instruction set with LIELOW_SWEEP_SET naming the copy; see sim/CMakeLists.txt. Everything
// here has internal linkage except the two entry points, so that no code built for a newer processor can leak
// into another copy.
//
// Step of the staggered forward-backward scheme (docs/physics.md): thickness by upwind fluxes with the old
// velocities, column exchange, then velocities: momentum-conserving advection (Stelling & Duinmeijer 2003,
// Int. J. Numer. Meth. Fluids 43:1329-1354; Doyen & Gunawan 2014, Finite Volumes for Complex Applications
// VII, 227-235), pressure of the new thicknesses, drag and exchange implicit in each face's column.
#include "sim/stack_sweep.hpp"

#include "sim/column_exchange.hpp"
#include "sim/stack_face_column.hpp"
#include "sim/stack_faces.hpp"
#include "sim/stack_rows.hpp"
#include "sim/stack_second.hpp"
#include "sim/stack_sweep_sets.hpp"

namespace lielow {
namespace {

/// Column exchange of row j, in h_new, of the first `sheets`; those below are absent and stay so.
template <class Real>
void exchange_heat(const Sweep<Real>& s, int sheets, int j, Real* level, Real* flux) {
    const ExchangeStep<Real> e{
        sheets,     s.mixing,      s.sheet_step, s.gap_floor, s.dt / static_cast<Real>(s.substeps),
        s.substeps, s.buoyancy[0], s.roughness};
    const std::ptrdiff_t row = j * s.row_stride;
    const Real* u_star = s.stirring != nullptr ? s.stirring + j * s.stride : nullptr;
    const Real* u_flow = s.stirring != nullptr ? s.flow_stirring + j * s.stride : nullptr;
    Real* line = flux + s.row_stride + s.stride;
    exchange_row(e, ExchangeRow<Real>{s.cols, s.stride, s.h_new + row, s.rise + row, s.loss + j * s.stride,
                                      u_star, u_flow, level, flux, line});
}

template <class Real>
void thickness_sweep(const Sweep<Real>& s, int first, int last, Real* scratch) {
    Real* level = scratch + static_cast<std::ptrdiff_t>(64 / sizeof(Real));
    Real* flux = level + s.row_stride + s.stride;
    Real* south_edge = flux + s.row_stride + 2 * s.stride;  // after the exchange's line
    const std::ptrdiff_t n = s.row_stride;
    const auto flux_north = [&s, n](int j, Real* out) {
        const int sheets = larger(s.present[j - 1], s.present[j]);
        donor_flux_row(s, sheets, s.cols, s.h + (j - 1) * n, s.h + j * n, s.v + j * n, out);
        clear_absent(s, sheets, s.cols, out);
    };
    // A band owns the north faces of its rows; the south faces of its last row are the next band's.
    flux_north(first, s.qy + first * n);
    for (int j = first; j < last; ++j) {
        const Real* here = s.h + j * n;
        donor_flux_row(s, s.present[j], s.cols + 1, here - 1, here, s.u + j * n, s.qx + j * n);
        clear_absent(s, s.present[j], s.cols + 1, s.qx + j * n);
        const bool last_of_band = j + 1 == last && last != s.rows;
        Real* south = last_of_band ? south_edge : s.qy + (j + 1) * n;
        flux_north(j + 1, south);
        int sheets = larger(present_around(s.present, j), s.source != nullptr ? 1 : 0);
        update_row(s, sheets, j, s.qx + j * n, s.qy + j * n, south);
        clear_absent(s, sheets, s.cols, s.h_new + j * n);
        if (s.exchange) {
            sheets = smaller(sheets + s.substeps, s.sheets);  // a substep starts at most one colder sheet
            exchange_heat(s, sheets, j, level, flux);
            clear_absent(s, sheets, s.cols, s.rise + j * n);
        }
        s.present_new[j] = count_present(s, sheets, s.h_new + j * n);
    }
}

template <class Real>
void face_row(const Sweep<Real>& s, const FaceRows<Real>& f, Real* mass, Real* drag, Real* factor,
              Real* lines, Real* fastest) {
    if (s.order == SchemeOrder::second) {
        advect_and_push_limited(s, f, mass);
    } else {
        advect_and_push(s, f, mass);
    }
    set_rain_in_motion(s, f, mass);
    const bool column = s.sheets > 1 || s.interface_drag > 0 || s.momentum_mixing > 0;
    if (column || s.drag_law != DragLaw::none || s.canopy_top != nullptr) {
        ground_and_canopy(s, f, mass, drag, lines);
        exchange_momentum(s, f, mass, drag, factor, lines);
    }
    close_faces(s, f, mass, fastest);
    clear_absent(s, f.sheets, f.faces, f.out);
}

template <class Real>
void velocity_sweep(const Sweep<Real>& s, int first, int last, Real* scratch, SweepRates<Real>& rates) {
    Real* bed_north = scratch + static_cast<std::ptrdiff_t>(64 / sizeof(Real));
    Real* bed_here = bed_north + s.row_stride;
    Real* mass = bed_here + s.row_stride;
    Real* drag = mass + s.row_stride;
    Real* factor = drag + s.row_stride;
    Real* lines = factor + s.row_stride;
    Real* weight_north = lines + face_lines * s.stride;
    Real* weight_here = weight_north + s.stride;
    Real* fastest = weight_here + s.stride;

    // A row's bed is asked for every sheet that its neighbours have.
    const auto bed_of = [&s](int j, Real* bed, Real* weight) {
        effective_bed(s, present_around(s.present_new, j), s.h_new + j * s.row_stride, bed, weight);
    };
    bed_of(first - 1, bed_north, weight_north);
    const int end = last == s.rows ? last + 1 : last;
    for (int j = first; j < end; ++j) {
        bed_of(j, bed_here, weight_here);
        face_row(s, y_faces(s, j, bed_north, bed_here), mass, drag, factor, lines, fastest);
        gather_rates(s, s.cols, s.inverse_dy, fastest, weight_north, weight_here, rates.courant_y,
                     rates.outflow_y, rates.poison);
        if (j < s.rows) {
            face_row(s, x_faces(s, j, bed_here), mass, drag, factor, lines, fastest);
            gather_rates(s, s.cols + 1, s.inverse_dx, fastest, weight_here - 1, weight_here, rates.courant_x,
                         rates.outflow_x, rates.poison);
        }
        Real* swap = bed_north;
        bed_north = bed_here;
        bed_here = swap;
        swap = weight_north;
        weight_north = weight_here;
        weight_here = swap;
    }
}

template <class Real>
void flux_sweep(const Sweep<Real>& s, int first, int last, Real* /*scratch*/) {
    limited_flux_sweep<Real>(s, first, last, s.h_half, s.u, s.v);
}

template <class Real>
void update_sweep(const Sweep<Real>& s, int first, int last, Real* scratch) {
    Real* level = scratch + static_cast<std::ptrdiff_t>(64 / sizeof(Real));
    Real* flux = level + s.row_stride + s.stride;
    for (int j = first; j < last; ++j) {
        const Real* north = s.qy + j * s.row_stride;
        update_row(s, s.sheets, j, s.qx + j * s.row_stride, north, north + s.row_stride);
        if (s.exchange) exchange_heat(s, s.sheets, j, level, flux);
        s.present_new[j] = count_present(s, s.sheets, s.h_new + j * s.row_stride);
        extrapolate_row(s, s.cols + 1, s.u + j * s.row_stride, s.u_star + j * s.row_stride);
        extrapolate_row(s, s.cols, s.v + j * s.row_stride, s.v_star + j * s.row_stride);
    }
    if (last == s.rows) extrapolate_row(s, s.cols, s.v + last * s.row_stride, s.v_star + last * s.row_stride);
}

template <class Real>
SweepFunctions<Real> functions() {
    return {&thickness_sweep<Real>, &velocity_sweep<Real>, &half_step_sweep<Real>, &flux_sweep<Real>,
            &payable_sweep<Real>,   &pay_sweep<Real>,      &update_sweep<Real>,    LIELOW_SWEEP_NAME};
}

}  // namespace

namespace LIELOW_SWEEP_SET {
SweepFunctions<float> single_precision() {
    return functions<float>();
}
SweepFunctions<double> double_precision() {
    return functions<double>();
}
}  // namespace LIELOW_SWEEP_SET

}  // namespace lielow
