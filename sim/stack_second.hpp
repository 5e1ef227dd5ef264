// SPDX-License-Identifier: Apache-2.0
// The second-order stages of a step. In time: velocities live half a step ahead of thicknesses, so that each
// is moved by the other's value at the middle of its own step; fluxes use the thickness predicted for the
// middle, advection the velocity extrapolated to it. In space: limited linear reconstruction of the sheet's
// thickness and of the advected velocity. Private to stack_sweep.cpp, which is compiled once per instruction
// set: everything has internal linkage.
#pragma once

#include "sim/stack_faces.hpp"
#include "sim/stack_rows.hpp"

namespace lielow {
namespace {

/// Van Leer's limited slope (1974, J. Comput. Phys. 14:361-370): the harmonic mean of two differences, 0
/// where they disagree.
template <class Real>
constexpr Real limited(Real a, Real b) {
    const Real product = a * b;
    const Real sum = a + b;
    return product > 0 ? 2 * product / sum : Real(0);
}

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

/// A flux as its giver can pay it.
template <class Real>
constexpr Real paid(Real flux, Real share_before, Real share_behind) {
    return flux * (flux > 0 ? share_before : share_behind);
}

/// Stage 4: new thickness of row j.
template <class Real>
void update_row_paid(const Sweep<Real>& s, int j) {
    const std::ptrdiff_t n = s.row_stride;
    const Real cx = s.dt * s.inverse_dx;
    const Real cy = s.dt * s.inverse_dy;
    for (int k = 0; k < s.sheets; ++k) {
        const std::ptrdiff_t o = j * n + k * s.stride;
        const Real *x = s.qx + o, *north = s.qy + o, *south = north + n, *share = s.h_half + o,
                   *old = s.h + o;
        Real* __restrict out = s.h_new + o;
#pragma omp simd
        for (int i = 0; i < s.cols; ++i) {
            const Real along = paid(x[i], share[i - 1], share[i]) - paid(x[i + 1], share[i], share[i + 1]);
            const Real across =
                paid(north[i], share[i - n], share[i]) - paid(south[i], share[i], share[i + n]);
            const Real thick = old[i] + (cx * along + cy * across);
            out[i] = thick < 0 ? Real(0) : thick;  // Rounding only: no cell pays more than it holds.
        }
    }
    if (s.source != nullptr) {
        Real* __restrict top = s.h_new + j * n;
        for (int i = 0; i < s.cols; ++i) top[i] += s.dt * s.source[j * s.stride + i];
    }
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

/// Advection with limited velocities and pressure, sheet by sheet; `mass` receives the face thickness, 0
/// where a sill closes the face to the sheet.
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
        const Real push = dt * s.buoyancy[k] * f.inverse_along;
        const Real *h_m = f.h_m + o, *h_p = f.h_p + o, *bed_m = f.bed_m + o, *bed_p = f.bed_p + o;
        const Real *speed = f.speed + o, *star = f.star + o;
        const Real *flux = f.flux + o, *flux_m = f.flux_m + o, *flux_p = f.flux_p + o;
        const Real *left_m = f.corner_left_m + o, *left_p = f.corner_left_p + o;
        const Real *right_m = f.corner_right_m + o, *right_p = f.corner_right_p + o;
        Real* __restrict out = f.out + o;
        Real* __restrict m = mass + o;
#pragma omp simd
        for (int i = 0; i < f.faces; ++i) {
            const Real step = bed_step[i] + (bed_p[i] - bed_m[i]);
            const bool open = larger(over_sill_forward(h_m[i], step), over_sill_backward(h_p[i], step)) > 0;
            const Real thick = Real(0.5) * (h_m[i] + h_p[i]);
            const Real here = star[i];
            const Real dm = here - star[i - a], dp = star[i + a] - here;
            const Real dl = here - star[i - c], dr = star[i + c] - here;
            const Real along = limited(dm, dp);
            const Real across = limited(dl, dr);
            // Velocity carried through each side less the face's own: half a limited slope from whichever
            // side gives.
            const Real from_m = Real(0.5) * limited(star[i - a] - star[i - 2 * a], dm) - dm;
            const Real from_p = dp - Real(0.5) * limited(dp, star[i + 2 * a] - star[i + a]);
            const Real from_l = Real(0.5) * limited(star[i - c] - star[i - 2 * c], dl) - dl;
            const Real from_r = dr - Real(0.5) * limited(dr, star[i + 2 * c] - star[i + c]);
            const Real q_m = (flux_m[i] + flux[i]) * half_along;
            const Real q_p = (flux[i] + flux_p[i]) * half_along;
            const Real q_l = (left_m[i] + left_p[i]) * half_across;
            const Real q_r = (right_m[i] + right_p[i]) * half_across;
            const Real gain_along =
                q_m * (q_m > 0 ? from_m : Real(-0.5) * along) - q_p * (q_p > 0 ? Real(0.5) * along : from_p);
            const Real gain_across = q_l * (q_l > 0 ? from_l : Real(-0.5) * across) -
                                     q_r * (q_r > 0 ? Real(0.5) * across : from_r);
            const Real arriving = (larger(q_m, Real(0)) + larger(-q_p, Real(0))) +
                                  (larger(q_l, Real(0)) + larger(-q_r, Real(0)));
            // More may flow in than stands here while a face fills; then the new velocity is the inflow's
            // mean.
            const Real held = larger(thick, dt * arriving);
            const Real advected = speed[i] + dt * (gain_along + gain_across) / larger(held, tiny<Real>);
            const Real pushed = advected - push * (step + (h_p[i] - h_m[i]));
            out[i] = open ? pushed : Real(0);
            m[i] = open ? thick : Real(0);
        }
    }
}

}  // namespace
}  // namespace lielow
