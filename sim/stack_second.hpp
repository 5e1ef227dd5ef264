// SPDX-License-Identifier: Apache-2.0
// The second-order stages of a step. In time: velocities live half a step ahead of thicknesses, so that each
// is moved by the other's value at the middle of its own step; fluxes use the thickness predicted for the
// middle, advection the velocity extrapolated to it. In space: limited linear reconstruction of the sheet's
// thickness and of the advected velocity. Private to stack_sweep.cpp, which is compiled once per instruction
// set: everything has internal linkage.
#pragma once

#include "sim/stack_faces.hpp"
#include "sim/stack_rows.hpp"
#include "sim/van_leer.hpp"

namespace lielow {
namespace {

/// Stage 1: thickness predicted for the middle of the step, rows [first, last).
template <class Real>
void half_step_sweep(const Sweep<Real>& s, int first, int last, Real* scratch) {
    Real* x = scratch + static_cast<std::ptrdiff_t>(64 / sizeof(Real));
    Real* north = x + s.row_stride;
    Real* south = north + s.row_stride;
    const std::ptrdiff_t n = s.row_stride;
    const Real cx = Real(0.5) * s.dt * s.inverse_dx;
    const Real cy = Real(0.5) * s.dt * s.inverse_dy;
    donor_flux_row(s, s.sheets, s.cols, s.h + (first - 1) * n, s.h + first * n, s.v + first * n, north);
    for (int j = first; j < last; ++j) {
        const Real* here = s.h + j * n;
        donor_flux_row(s, s.sheets, s.cols + 1, here - 1, here, s.u + j * n, x);
        donor_flux_row(s, s.sheets, s.cols, here, here + n, s.v + (j + 1) * n, south);
        for (int k = 0; k < s.sheets; ++k) {
            const std::ptrdiff_t o = k * s.stride;
            const Real *old = here + o, *qx = x + o, *qn = north + o, *qs = south + o;
            Real* __restrict out = s.h_half + j * n + o;
#pragma omp simd
            for (int i = 0; i < s.cols; ++i) {
                out[i] = larger(old[i] + (cx * (qx[i] - qx[i + 1]) + cy * (qn[i] - qs[i])), Real(0));
            }
        }
        if (s.source != nullptr) {
            Real* __restrict top = s.h_half + j * n;
            const Real half = Real(0.5) * s.dt;
            for (int i = 0; i < s.cols; ++i) top[i] += half * s.source[j * s.stride + i];
        }
        Real* swap = north;
        north = south;
        south = swap;
    }
}

/// Flux with limited linear thickness through a row of faces: `h` is the row of cells behind the faces,
/// `along` leads to the next.
template <class Real>
void limited_flux_row(const Sweep<Real>& s, int faces, const Real* h, std::ptrdiff_t along,
                      const Real* velocity, Real* flux) {
    for (int k = 0; k < s.sheets; ++k) {
        const std::ptrdiff_t o = k * s.stride;
        const Real *mm = h + o - 2 * along, *m = h + o - along, *p = h + o, *pp = h + o + along;
        const Real* speed = velocity + o;
        Real* __restrict out = flux + o;
#pragma omp simd
        for (int i = 0; i < faces; ++i) {
            const Real across = p[i] - m[i];
            const Real forward = m[i] + Real(0.5) * limited(m[i] - mm[i], across);
            const Real backward = p[i] - Real(0.5) * limited(across, pp[i] - p[i]);
            out[i] = speed[i] * (speed[i] > 0 ? forward : backward);
        }
    }
}

/// Stage 2: fluxes of rows [first, last) (and y face `rows`) from thickness `h` and velocities u, v.
template <class Real>
void limited_flux_sweep(const Sweep<Real>& s, int first, int last, const Real* h, const Real* u,
                        const Real* v) {
    const std::ptrdiff_t n = s.row_stride;
    for (int j = first; j < last; ++j) {
        limited_flux_row(s, s.cols + 1, h + j * n, 1, u + j * n, s.qx + j * n);
        limited_flux_row(s, s.cols, h + j * n, n, v + j * n, s.qy + j * n);
    }
    if (last == s.rows) limited_flux_row(s, s.cols, h + last * n, n, v + last * n, s.qy + last * n);
}

/// Stage 3: the share of its outflow that each cell can pay from what it holds, 1 nearly everywhere; into
/// h_half.
template <class Real>
void payable_sweep(const Sweep<Real>& s, int first, int last, Real* /*scratch*/) {
    const std::ptrdiff_t n = s.row_stride;
    const Real cx = s.dt * s.inverse_dx;
    const Real cy = s.dt * s.inverse_dy;
    for (int j = first; j < last; ++j) {
        for (int k = 0; k < s.sheets; ++k) {
            const std::ptrdiff_t o = j * n + k * s.stride;
            const Real *x = s.qx + o, *north = s.qy + o, *south = north + n, *h = s.h + o;
            Real* __restrict out = s.h_half + o;
#pragma omp simd
            for (int i = 0; i < s.cols; ++i) {
                const Real leaving = cx * (larger(x[i + 1], Real(0)) + larger(-x[i], Real(0))) +
                                     cy * (larger(south[i], Real(0)) + larger(-north[i], Real(0)));
                out[i] = leaving > h[i] ? h[i] / leaving : Real(1);
            }
        }
    }
}

/// A row of fluxes as their givers can pay them.
template <class Real>
void pay_row(const Sweep<Real>& s, int faces, const Real* share, std::ptrdiff_t along, Real* flux) {
    for (int k = 0; k < s.sheets; ++k) {
        const Real *before = share + k * s.stride - along, *behind = share + k * s.stride;
        Real* __restrict out = flux + k * s.stride;
#pragma omp simd
        for (int i = 0; i < faces; ++i) out[i] *= out[i] > 0 ? before[i] : behind[i];
    }
}

/// Stage 4: the fluxes of rows [first, last) (and y face `rows`) as paid.
template <class Real>
void pay_sweep(const Sweep<Real>& s, int first, int last, Real* /*scratch*/) {
    const std::ptrdiff_t n = s.row_stride;
    for (int j = first; j < last; ++j) {
        pay_row(s, s.cols + 1, s.h_half + j * n, 1, s.qx + j * n);
        pay_row(s, s.cols, s.h_half + j * n, n, s.qy + j * n);
    }
    if (last == s.rows) pay_row(s, s.cols, s.h_half + last * n, n, s.qy + last * n);
}

/// Velocities at the new thickness's time, extrapolated from the last two, in place of the older one; a face
/// that was closed in either stays so.
template <class Real>
void extrapolate_row(const Sweep<Real>& s, int faces, const Real* speed, Real* __restrict older) {
    for (int k = 0; k < s.sheets; ++k) {
        const Real* now = speed + k * s.stride;
        Real* __restrict star = older + k * s.stride;
#pragma omp simd
        for (int i = 0; i < faces; ++i) {
            const bool moving = now[i] != 0 && star[i] != 0;
            star[i] = moving ? now[i] + s.extrapolation * (now[i] - star[i]) : now[i];
        }
    }
}

/// Velocity that the fluxes q_m (through the side before a face) and q_p carry to it, times them, less what
/// they carry of its own: each side's velocity is that of whichever face gives, and half a limited slope.
/// Velocities of five faces in a row.
template <class Real>
constexpr Real carried_in(Real q_m, Real q_p, Real u_mm, Real u_m, Real u, Real u_p, Real u_pp) {
    const Real before = u - u_m;
    const Real behind = u_p - u;
    const bool comes = q_m > 0;
    const bool goes = q_p > 0;
    // Slope of the face that gives through each side.
    const Real slope_m = Real(0.5) * limited(comes ? u_m - u_mm : behind, before);
    const Real slope_p = Real(0.5) * limited(goes ? before : u_pp - u_p, behind);
    return q_m * (comes ? slope_m - before : -slope_m) - q_p * (goes ? slope_p : behind - slope_p);
}

/// Flow that runs together by a quarter of its wave speed from face to face counts as a bore, wholly.
template <class Real>
constexpr Real bore_strength = Real(16);

/// 0 where the flow is smooth or spreads, 1 in a bore: by how much velocity falls across the four cells
/// around a face along its normal, and in the two beside it across, against the wave speed. Both cells on
/// either side count because a bore is three cells wide.
template <class Real>
constexpr Real bore_share(const Real* u, std::ptrdiff_t a, Real across_m, Real across_p, Real wave_squared) {
    const Real near_m = larger(u[-a] - u[0], Real(0)) + larger(across_m, Real(0));
    const Real near_p = larger(u[0] - u[a], Real(0)) + larger(across_p, Real(0));
    const Real far = larger(u[-2 * a] - u[-a], u[a] - u[2 * a]);
    const Real fall = larger(larger(near_m, near_p), far);
    return smaller(bore_strength<Real> * fall * fall / larger(wave_squared, tiny<Real>), Real(1));
}

/// Advection with limited velocities and pressure, sheet by sheet; `mass` receives the face thickness, 0
/// where a sill closes the face to the sheet.
///
/// Where the flow is smooth, velocities and fluxes are those at the middle of the velocity's step: `star`,
/// and the new thickness times it. In a bore they are those that have just moved the thickness; then
/// momentum, thickness times velocity, is conserved (Stelling & Duinmeijer 2003) and the bore gets its height
/// and speed right. The two differ by a term of first order, mixed by a share of second order where the flow
/// is smooth.
template <class Real>
void advect_and_push_limited(const Sweep<Real>& s, const FaceRows<Real>& f, Real* mass) {
    const Real dt = s.dt_velocity;
    const Real half_along = Real(0.5) * f.inverse_along;
    const Real half_across = Real(0.5) * f.inverse_across;
    const Real* __restrict bed_step = f.bed_step;
    const std::ptrdiff_t a = f.along;
    const std::ptrdiff_t c = f.across;
    for (int k = 0; k < f.sheets; ++k) {
        const std::ptrdiff_t o = k * s.stride;
        const Real buoyancy = s.buoyancy[k];
        const Real push = dt * buoyancy * f.inverse_along;
        const Real *h_m = f.h_m + o, *h_p = f.h_p + o, *bed_m = f.bed_m + o, *bed_p = f.bed_p + o;
        const Real *speed = f.speed + o, *star = f.star + o;
        const Real *flux = f.flux + o, *flux_m = f.flux_m + o, *flux_p = f.flux_p + o;
        const Real *left_m = f.corner_left_m + o, *left_p = f.corner_left_p + o;
        const Real *right_m = f.corner_right_m + o, *right_p = f.corner_right_p + o;
        const Real *cross_lm = f.cross_left_m + o, *cross_lp = f.cross_left_p + o;
        const Real *cross_rm = f.cross_right_m + o, *cross_rp = f.cross_right_p + o;
        const Real *star_lm = f.star_left_m + o, *star_lp = f.star_left_p + o;
        const Real *star_rm = f.star_right_m + o, *star_rp = f.star_right_p + o;
        Real* __restrict out = f.out + o;
        Real* __restrict m = mass + o;
#pragma omp simd
        for (int i = 0; i < f.faces; ++i) {
            const Real step = bed_step[i] + (bed_p[i] - bed_m[i]);
            const bool open = larger(over_sill_forward(h_m[i], step), over_sill_backward(h_p[i], step)) > 0;
            const Real thick = Real(0.5) * (h_m[i] + h_p[i]);
            const Real smooth = 1 - bore_share(speed + i, a, cross_lm[i] - cross_rm[i],
                                               cross_lp[i] - cross_rp[i], buoyancy * thick);
            const auto mixed = [smooth](Real moved, Real middle) {
                return moved + smooth * (middle - moved);
            };
            const auto at = [&](std::ptrdiff_t n) { return mixed(speed[i + n], star[i + n]); };
            const Real here = at(0);
            const Real corner_l = Real(0.5) * (thick + Real(0.5) * (h_m[i - c] + h_p[i - c]));
            const Real corner_r = Real(0.5) * (thick + Real(0.5) * (h_m[i + c] + h_p[i + c]));
            const Real q_m = mixed(flux_m[i] + flux[i], h_m[i] * (star[i - a] + star[i])) * half_along;
            const Real q_p = mixed(flux[i] + flux_p[i], h_p[i] * (star[i] + star[i + a])) * half_along;
            const Real q_l = mixed(left_m[i] + left_p[i], corner_l * (star_lm[i] + star_lp[i])) * half_across;
            const Real q_r =
                mixed(right_m[i] + right_p[i], corner_r * (star_rm[i] + star_rp[i])) * half_across;
            const Real gain = carried_in(q_m, q_p, at(-2 * a), at(-a), here, at(a), at(2 * a)) +
                              carried_in(q_l, q_r, at(-2 * c), at(-c), here, at(c), at(2 * c));
            const Real arriving = (larger(q_m, Real(0)) + larger(-q_p, Real(0))) +
                                  (larger(q_l, Real(0)) + larger(-q_r, Real(0)));
            const Real leaving = (larger(-q_m, Real(0)) + larger(q_p, Real(0))) +
                                 (larger(-q_l, Real(0)) + larger(q_r, Real(0)));
            // More may flow in than stands here while a face fills; then the new velocity is the inflow's
            // mean. Nor does more flow out, where deep water stands beside a film.
            const Real carried = mixed(s.dt, dt);
            const Real held = larger(thick, carried * larger(arriving, leaving));
            const Real advected = speed[i] + carried * gain / larger(held, tiny<Real>);
            const Real pushed = advected - push * (step + (h_p[i] - h_m[i]));
            out[i] = open ? pushed : Real(0);
            m[i] = open ? thick : Real(0);
        }
    }
}

}  // namespace
}  // namespace lielow
