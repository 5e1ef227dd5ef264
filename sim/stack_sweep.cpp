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

#include <cmath>

#include "sim/column_exchange.hpp"
#include "sim/stack_sweep_sets.hpp"

namespace lielow {
namespace {

template <class Real>
constexpr Real larger(Real a, Real b) {
    return a > b ? a : b;
}
template <class Real>
constexpr Real smaller(Real a, Real b) {
    return a < b ? a : b;
}
template <class Real>
constexpr Real magnitude(Real a) {
    return a < 0 ? -a : a;
}

template <class Real>
constexpr Real tiny = Real(1e-20);

/// Thickness that can flow from the cell before a face to the one behind it: what stands above the sill.
template <class Real>
constexpr Real over_sill_forward(Real before, Real step) {
    return larger(Real(0), smaller(before, before - step));
}
template <class Real>
constexpr Real over_sill_backward(Real behind, Real step) {
    return larger(Real(0), smaller(behind, behind + step));
}

/// Height of sheet k's effective bed above the ground, P_k = S_{k+1} + Σ_{j<k} (b_j/b_k) h_j, for one row
/// with its ghost columns; `weight` receives Σ b_k h_k, the squared speed of the fastest wave.
template <class Real>
void effective_bed(const Sweep<Real>& s, const Real* h, Real* __restrict bed, Real* __restrict weight) {
    const int first = -1;
    const int last = s.cols + 1;
    for (int i = first; i < last; ++i) weight[i] = 0;
    for (int k = s.sheets - 1; k >= 0; --k) {
        const Real* __restrict thick = h + k * s.stride;
        Real* __restrict out = bed + k * s.stride;
        for (int i = first; i < last; ++i) {
            out[i] = weight[i];
            weight[i] += thick[i];
        }
    }
    for (int i = first; i < last; ++i) weight[i] = 0;
    for (int k = 0; k < s.sheets; ++k) {
        const Real* __restrict thick = h + k * s.stride;
        Real* __restrict out = bed + k * s.stride;
        const Real b = s.buoyancy[k];
        const Real inverse = s.inverse_buoyancy[k];
        for (int i = first; i < last; ++i) {
            out[i] += weight[i] * inverse;
            weight[i] += b * thick[i];
        }
    }
}

/// Upwind flux through a row of faces; `before` and `behind` are the rows of cells on either side.
template <class Real>
void flux_row(const Sweep<Real>& s, int faces, const Real* h_before, const Real* h_behind,
              const Real* bed_before, const Real* bed_behind, const Real* bed_step, const Real* velocity,
              Real* flux) {
    for (int k = 0; k < s.sheets; ++k) {
        const std::ptrdiff_t o = k * s.stride;
        const Real* hm = h_before + o;
        const Real* hp = h_behind + o;
        const Real* bm = bed_before + o;
        const Real* bp = bed_behind + o;
        const Real* speed = velocity + o;
        Real* __restrict out = flux + o;
        for (int i = 0; i < faces; ++i) {
            const Real step = bed_step[i] + (bp[i] - bm[i]);
            const Real forward = over_sill_forward(hm[i], step);
            const Real backward = over_sill_backward(hp[i], step);
            out[i] = speed[i] * (speed[i] > 0 ? forward : backward);
        }
        out[-1] = out[0];
        out[faces] = out[faces - 1];
    }
}

template <class Real>
void update_row(const Sweep<Real>& s, int j, const Real* qx, const Real* qy_north, const Real* qy_south) {
    const Real cx = s.dt * s.inverse_dx;
    const Real cy = s.dt * s.inverse_dy;
    for (int k = 0; k < s.sheets; ++k) {
        const std::ptrdiff_t o = k * s.stride;
        const Real* __restrict old = s.h + j * s.row_stride + o;
        Real* __restrict out = s.h_new + j * s.row_stride + o;
        const Real* x = qx + o;
        const Real* north = qy_north + o;
        const Real* south = qy_south + o;
        for (int i = 0; i < s.cols; ++i) {
            const Real thick = old[i] + (cx * (x[i] - x[i + 1]) + cy * (north[i] - south[i]));
            out[i] = thick < 0 ? Real(0) : thick;  // Rounding only: a step lets at most 95 % flow out.
        }
    }
    if (s.source != nullptr) {
        const Real* __restrict source = s.source + j * s.stride;
        Real* __restrict top = s.h_new + j * s.row_stride;
        for (int i = 0; i < s.cols; ++i) top[i] += s.dt * source[i];
    }
}

template <class Real>
void thickness_sweep(const Sweep<Real>& s, int first, int last, Real* scratch) {
    Real* bed_here = scratch + static_cast<std::ptrdiff_t>(64 / sizeof(Real));
    Real* bed_next = bed_here + s.row_stride;
    Real* level = bed_next + s.row_stride;
    Real* flux = level + s.row_stride + s.stride;
    Real* south_edge = flux + s.row_stride + s.stride;
    Real* weight = south_edge + s.row_stride;

    // The first row's north faces: they belong to this band, the south faces of its last row to the next one.
    effective_bed(s, s.h + (first - 1) * s.row_stride, bed_next, weight);
    effective_bed(s, s.h + first * s.row_stride, bed_here, weight);
    flux_row(s, s.cols, s.h + (first - 1) * s.row_stride, s.h + first * s.row_stride, bed_next, bed_here,
             s.bed_step_y + first * s.stride, s.v + first * s.row_stride, s.qy + first * s.row_stride);
    for (int j = first; j < last; ++j) {
        const Real* here = s.h + j * s.row_stride;
        effective_bed(s, here + s.row_stride, bed_next, weight);
        flux_row(s, s.cols + 1, here - 1, here, bed_here - 1, bed_here, s.bed_step_x + j * s.stride,
                 s.u + j * s.row_stride, s.qx + j * s.row_stride);
        const bool last_of_band = j + 1 == last && last != s.rows;
        Real* south = last_of_band ? south_edge : s.qy + (j + 1) * s.row_stride;
        flux_row(s, s.cols, here, here + s.row_stride, bed_here, bed_next, s.bed_step_y + (j + 1) * s.stride,
                 s.v + (j + 1) * s.row_stride, south);
        update_row(s, j, s.qx + j * s.row_stride, s.qy + j * s.row_stride, south);
        if (s.exchange) {
            const ExchangeStep<Real> e{
                s.sheets,  s.mixing, s.sheet_step, s.gap_floor, s.dt / static_cast<Real>(s.substeps),
                s.substeps};
            exchange_row(e, s.cols, s.stride, s.h_new + j * s.row_stride, s.rise + j * s.row_stride,
                         s.loss + j * s.stride, level, flux);
        }
        Real* swap = bed_here;
        bed_here = bed_next;
        bed_next = swap;
    }
}

/// The rows around a row of faces, named for a face between the cells `m` (before) and `p` (behind).
template <class Real>
struct FaceRows {
    int faces;
    Real inverse_along, inverse_across, wind;
    const Real *h_m, *h_p, *bed_m, *bed_p, *bed_step;
    const Real *speed, *speed_m, *speed_p;  ///< at the face and its neighbours along the normal
    const Real *speed_left, *speed_right;   ///< at its neighbours across
    const Real *flux, *flux_m, *flux_p;
    const Real *corner_left_m, *corner_left_p, *corner_right_m,
        *corner_right_p;  ///< cross fluxes at the face's two ends
    const Real *cross_left_m, *cross_left_p, *cross_right_m, *cross_right_p;  ///< cross velocities there
    const Real *rise_m, *rise_p;
    const Real *drag_m, *drag_p, *canopy_top_m, *canopy_top_p, *canopy_drag_m, *canopy_drag_p;
    Real* out;
};

/// Advection and pressure, sheet by sheet; `mass` receives the face thickness, 0 where a sill closes the face
/// to the sheet.
template <class Real>
void advect_and_push(const Sweep<Real>& s, const FaceRows<Real>& f, Real* mass) {
    for (int k = 0; k < s.sheets; ++k) {
        const std::ptrdiff_t o = k * s.stride;
        const Real push = s.dt * s.buoyancy[k] * f.inverse_along;
        Real* __restrict out = f.out + o;
        Real* __restrict m = mass + o;
        for (int i = 0; i < f.faces; ++i) {
            const Real hm = f.h_m[o + i];
            const Real hp = f.h_p[o + i];
            const Real step = f.bed_step[i] + (f.bed_p[o + i] - f.bed_m[o + i]);
            const bool open = larger(over_sill_forward(hm, step), over_sill_backward(hp, step)) > 0;
            const Real thick = Real(0.5) * (hm + hp);
            const Real speed = f.speed[o + i];
            const Real in_m =
                larger(Real(0.5) * (f.flux_m[o + i] + f.flux[o + i]), Real(0)) * f.inverse_along;
            const Real in_p =
                -smaller(Real(0.5) * (f.flux[o + i] + f.flux_p[o + i]), Real(0)) * f.inverse_along;
            const Real in_l = larger(Real(0.5) * (f.corner_left_m[o + i] + f.corner_left_p[o + i]), Real(0)) *
                              f.inverse_across;
            const Real in_r =
                -smaller(Real(0.5) * (f.corner_right_m[o + i] + f.corner_right_p[o + i]), Real(0)) *
                f.inverse_across;
            const Real gain = (in_m * (f.speed_m[o + i] - speed) + in_p * (f.speed_p[o + i] - speed)) +
                              (in_l * (f.speed_left[o + i] - speed) + in_r * (f.speed_right[o + i] - speed));
            // More may flow in than stands here while a face fills; then the new velocity is the inflow's
            // mean.
            const Real held = larger(thick, s.dt * ((in_m + in_p) + (in_l + in_r)));
            const Real advected = speed + s.dt * gain / larger(held, tiny<Real>);
            const Real pushed = advected - push * (step + (hp - hm));
            out[i] = open ? pushed : Real(0);
            m[i] = open ? thick : Real(0);
        }
    }
}

/// Coefficient of the ground's stress, |stress| = coefficient · |u|², from the mean coefficient of the law
/// and the depth.
template <class Real>
Real stress_coefficient(DragLaw law, Real coefficient, Real depth) {
    switch (law) {
        case DragLaw::quadratic:
            return coefficient;
        case DragLaw::manning:
            return Real(9.81) * coefficient * coefficient / std::cbrt(larger(depth, Real(1e-6)));
        case DragLaw::darcy_weisbach:
            return coefficient / 8;
        case DragLaw::none:
            break;
    }
    return 0;
}

/// Thickness of a sheet's part between the ground and `top`.
template <class Real>
constexpr Real part_below(Real lower, Real upper, Real top) {
    return smaller(upper, top) - smaller(lower, top);
}

/// dt × drag rate × thickness of each sheet at the faces, from the ground's and the canopy's stress. The
/// speed is that which the drag leaves at the end of the step (the root of u + dt c |u| u / h = u*), so that
/// thin fast sheets don't overshoot.
template <class Real>
void ground_and_canopy(const Sweep<Real>& s, const FaceRows<Real>& f, const Real* mass, Real* drag,
                       Real* below) {
    Real* __restrict total = drag;  // Sheet 0's row holds the total until it is overwritten last.
    for (int i = 0; i < f.faces; ++i) {
        below[i] = 0;
        total[i] = 0;
    }
    for (int k = 0; k < s.sheets; ++k) {
        for (int i = 0; i < f.faces; ++i) total[i] += mass[k * s.stride + i];
    }
    const bool canopy = s.canopy_top != nullptr;
    const bool one_sheet = s.sheets == 1;
    for (int k = s.sheets - 1; k >= 0; --k) {
        const std::ptrdiff_t o = k * s.stride;
        Real* out = drag + o;
        for (int i = 0; i < f.faces; ++i) {
            const Real depth = total[i];
            const Real m = mass[o + i];
            const Real upper = below[i] + m;
            const Real reach = one_sheet ? depth : smaller(depth, s.drag_height);
            const Real law = stress_coefficient(s.drag_law, Real(0.5) * (f.drag_m[i] + f.drag_p[i]), depth);
            Real coefficient = law * part_below(below[i], upper, reach) / larger(reach, tiny<Real>);
            if (canopy) {
                const Real top = Real(0.5) * (f.canopy_top_m[i] + f.canopy_top_p[i]);
                coefficient +=
                    Real(0.5) * (f.canopy_drag_m[i] + f.canopy_drag_p[i]) * part_below(below[i], upper, top);
            }
            const Real across = Real(0.25) * ((f.cross_left_m[o + i] + f.cross_left_p[o + i]) +
                                              (f.cross_right_m[o + i] + f.cross_right_p[o + i]));
            const Real along = f.out[o + i];
            const Real speed = std::sqrt(along * along + across * across);
            const Real a = s.dt * coefficient;
            const Real left = 2 * speed / (1 + std::sqrt(1 + 4 * a * speed / larger(m, tiny<Real>)));
            out[i] = a * left;
            below[i] = upper;
        }
    }
}

/// Implicit momentum exchange between the sheets, with the air above and the ground: a tridiagonal system per
/// face (Thomas).
template <class Real>
void exchange_momentum(const Sweep<Real>& s, const FaceRows<Real>& f, const Real* mass, const Real* drag,
                       Real* factor, Real* coupling) {
    const Real floor = s.gap_floor;
    for (int k = 0; k < s.sheets; ++k) {
        const std::ptrdiff_t o = k * s.stride;
        const bool top = k == 0;
        const bool bottom = k + 1 == s.sheets;
        Real* out = f.out + o;
        Real* upper = out - s.stride;        // not touched for the top sheet
        const Real* lower = out + s.stride;  // not touched for the bottom one
        for (int i = 0; i < f.faces; ++i) {
            const Real m = mass[o + i];
            const Real own = out[i];
            Real up = coupling[i];
            if (top) {
                const Real difference = magnitude(own - f.wind);
                up = s.dt * (s.momentum_mixing / larger(m, floor) + s.interface_drag * difference);
            }
            Real down = 0;
            if (!bottom) {
                const Real gap = larger(Real(0.5) * (m + mass[o + s.stride + i]), floor);
                down = s.dt * (s.momentum_mixing / gap + s.interface_drag * magnitude(own - lower[i]));
            }
            coupling[i] = down;
            Real from_above = 0;
            Real from_below = 0;
            if (s.exchange) {
                from_above = larger(Real(0.5) * (f.rise_m[o + i] + f.rise_p[o + i]), Real(0));
                if (!bottom) {
                    from_below = larger(
                        Real(-0.5) * (f.rise_m[o + s.stride + i] + f.rise_p[o + s.stride + i]), Real(0));
                }
            }
            const Real kept = larger(m - (from_above + from_below), Real(0));
            const Real to_upper = up + from_above;
            const Real to_lower = down + from_below;
            const Real above_factor = top ? Real(0) : factor[o - s.stride + i];
            const Real above_value = top ? f.wind : upper[i];
            const Real diagonal = kept + to_upper + to_lower + drag[o + i] - to_upper * above_factor;
            const Real inverse = 1 / larger(diagonal, tiny<Real>);
            factor[o + i] = to_lower * inverse;
            out[i] = (kept * own + to_upper * above_value) * inverse;
        }
    }
    for (int k = s.sheets - 2; k >= 0; --k) {
        const std::ptrdiff_t o = k * s.stride;
        Real* __restrict out = f.out + o;
        const Real* __restrict lower = out + s.stride;
        for (int i = 0; i < f.faces; ++i) out[i] += factor[o + i] * lower[i];
    }
}

template <class Real>
void close_faces(const Sweep<Real>& s, const FaceRows<Real>& f, const Real* mass, Real* fastest) {
    for (int i = 0; i < f.faces; ++i) fastest[i] = 0;
    for (int k = 0; k < s.sheets; ++k) {
        const std::ptrdiff_t o = k * s.stride;
        Real* __restrict out = f.out + o;
        for (int i = 0; i < f.faces; ++i) {
            out[i] = mass[o + i] > 0 ? out[i] : Real(0);
            fastest[i] = larger(fastest[i], magnitude(out[i]));
        }
    }
}

template <class Real>
void face_row(const Sweep<Real>& s, const FaceRows<Real>& f, Real* mass, Real* drag, Real* factor, Real* line,
              Real* fastest) {
    advect_and_push(s, f, mass);
    const bool column = s.sheets > 1 || s.interface_drag > 0 || s.momentum_mixing > 0;
    if (column || s.drag_law != DragLaw::none || s.canopy_top != nullptr) {
        ground_and_canopy(s, f, mass, drag, line);
        exchange_momentum(s, f, mass, drag, factor, line);
    }
    close_faces(s, f, mass, fastest);
}

template <class Real>
FaceRows<Real> x_faces(const Sweep<Real>& s, int j, const Real* bed) {
    const std::ptrdiff_t r = j * s.row_stride;
    const std::ptrdiff_t n = s.row_stride;
    const std::ptrdiff_t p = j * s.stride;
    FaceRows<Real> f{};
    f.faces = s.cols + 1;
    f.inverse_along = s.inverse_dx;
    f.inverse_across = s.inverse_dy;
    f.wind = s.wind_x;
    f.h_m = s.h_new + r - 1, f.h_p = s.h_new + r;
    f.bed_m = bed - 1, f.bed_p = bed, f.bed_step = s.bed_step_x + p;
    f.speed = s.u + r, f.speed_m = f.speed - 1, f.speed_p = f.speed + 1;
    f.speed_left = f.speed - n, f.speed_right = f.speed + n;
    f.flux = s.qx + r, f.flux_m = f.flux - 1, f.flux_p = f.flux + 1;
    f.corner_left_m = s.qy + r - 1, f.corner_left_p = s.qy + r;
    f.corner_right_m = f.corner_left_m + n, f.corner_right_p = f.corner_left_p + n;
    f.cross_left_m = s.v + r - 1, f.cross_left_p = s.v + r;
    f.cross_right_m = f.cross_left_m + n, f.cross_right_p = f.cross_left_p + n;
    if (s.exchange) f.rise_m = s.rise + r - 1, f.rise_p = s.rise + r;
    f.drag_m = s.ground_drag + p - 1, f.drag_p = s.ground_drag + p;
    if (s.canopy_top != nullptr) {
        f.canopy_top_m = s.canopy_top + p - 1, f.canopy_top_p = s.canopy_top + p;
        f.canopy_drag_m = s.canopy_drag + p - 1, f.canopy_drag_p = s.canopy_drag + p;
    }
    f.out = s.u_new + r;
    return f;
}

template <class Real>
FaceRows<Real> y_faces(const Sweep<Real>& s, int j, const Real* bed_north, const Real* bed_south) {
    const std::ptrdiff_t r = j * s.row_stride;
    const std::ptrdiff_t n = s.row_stride;
    const std::ptrdiff_t p = j * s.stride;
    FaceRows<Real> f{};
    f.faces = s.cols;
    f.inverse_along = s.inverse_dy;
    f.inverse_across = s.inverse_dx;
    f.wind = s.wind_y;
    f.h_m = s.h_new + r - n, f.h_p = s.h_new + r;
    f.bed_m = bed_north, f.bed_p = bed_south, f.bed_step = s.bed_step_y + p;
    f.speed = s.v + r, f.speed_m = f.speed - n, f.speed_p = f.speed + n;
    f.speed_left = f.speed - 1, f.speed_right = f.speed + 1;
    f.flux = s.qy + r, f.flux_m = f.flux - n, f.flux_p = f.flux + n;
    f.corner_left_m = s.qx + r - n, f.corner_left_p = s.qx + r;
    f.corner_right_m = f.corner_left_m + 1, f.corner_right_p = f.corner_left_p + 1;
    f.cross_left_m = s.u + r - n, f.cross_left_p = s.u + r;
    f.cross_right_m = f.cross_left_m + 1, f.cross_right_p = f.cross_left_p + 1;
    if (s.exchange) f.rise_m = s.rise + r - n, f.rise_p = s.rise + r;
    f.drag_m = s.ground_drag + p - s.stride, f.drag_p = s.ground_drag + p;
    if (s.canopy_top != nullptr) {
        f.canopy_top_m = s.canopy_top + p - s.stride, f.canopy_top_p = s.canopy_top + p;
        f.canopy_drag_m = s.canopy_drag + p - s.stride, f.canopy_drag_p = s.canopy_drag + p;
    }
    f.out = s.v_new + r;
    return f;
}

/// Largest speed plus half the wave speed over a row of faces, as a rate; the halves of x and y add up to the
/// whole (an upper bound on |u|/dx + |v|/dy + c·wave_factor that treats both sides and both axes alike, so
/// that symmetry is kept to the bit).
template <class Real>
void gather_rates(const Sweep<Real>& s, int faces, Real inverse_along, const Real* fastest,
                  const Real* weight_m, const Real* weight_p, Real& rate, Real& outflow, Real& poison) {
    const Real half_wave = Real(0.5) * s.wave_factor;
    for (int i = 0; i < faces; ++i) {
        const Real out = fastest[i] * inverse_along;
        const Real here = out + std::sqrt(larger(weight_m[i], weight_p[i])) * half_wave;
        rate = larger(rate, here);
        outflow = larger(outflow, out);
        poison += Real(0) * here;
    }
}

template <class Real>
void velocity_sweep(const Sweep<Real>& s, int first, int last, Real* scratch, SweepRates<Real>& rates) {
    Real* bed_north = scratch + static_cast<std::ptrdiff_t>(64 / sizeof(Real));
    Real* bed_here = bed_north + s.row_stride;
    Real* mass = bed_here + s.row_stride;
    Real* drag = mass + s.row_stride;
    Real* factor = drag + s.row_stride;
    Real* line = factor + s.row_stride;
    Real* weight_north = line + s.stride;
    Real* weight_here = weight_north + s.stride;
    Real* fastest = weight_here + s.stride;

    effective_bed(s, s.h_new + (first - 1) * s.row_stride, bed_north, weight_north);
    const int end = last == s.rows ? last + 1 : last;
    for (int j = first; j < end; ++j) {
        effective_bed(s, s.h_new + j * s.row_stride, bed_here, weight_here);
        face_row(s, y_faces(s, j, bed_north, bed_here), mass, drag, factor, line, fastest);
        gather_rates(s, s.cols, s.inverse_dy, fastest, weight_north, weight_here, rates.courant_y,
                     rates.outflow_y, rates.poison);
        if (j < s.rows) {
            face_row(s, x_faces(s, j, bed_here), mass, drag, factor, line, fastest);
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

}  // namespace

namespace LIELOW_SWEEP_SET {
SweepFunctions<float> single_precision() {
    return {&thickness_sweep<float>, &velocity_sweep<float>, LIELOW_SWEEP_NAME};
}
SweepFunctions<double> double_precision() {
    return {&thickness_sweep<double>, &velocity_sweep<double>, LIELOW_SWEEP_NAME};
}
}  // namespace LIELOW_SWEEP_SET

}  // namespace lielow
