// SPDX-License-Identifier: Apache-2.0
// A row of faces, its surroundings, and advection and pressure on it.
// Private to stack_sweep.cpp, which is compiled once per instruction set: everything has internal linkage, so
// that no code built for a newer processor can leak into another copy.
#pragma once

#include <cmath>

#include "sim/stack_rows.hpp"

namespace lielow {
namespace {

/// The rows around a row of faces, named for a face between the cells `m` (before) and `p` (behind).
template <class Real>
struct FaceRows {
    int faces;
    int sheets;  ///< those that may be there, from the top
    Real inverse_along, inverse_across, wind;
    const Real *h_m, *h_p, *bed_m, *bed_p, *bed_step;
    const Real *speed, *speed_m, *speed_p;  ///< at the face and its neighbours along the normal
    const Real *speed_left, *speed_right;   ///< at its neighbours across
    const Real *flux, *flux_m, *flux_p;
    const Real *corner_left_m, *corner_left_p, *corner_right_m,
        *corner_right_p;  ///< cross fluxes at the face's two ends
    const Real *cross_left_m, *cross_left_p, *cross_right_m, *cross_right_p;  ///< cross velocities there
    const Real *rise_m, *rise_p;
    const Real *source_m, *source_p;
    const Real *stir_m, *stir_p, *flow_m, *flow_p;
    const Real *drag_m, *drag_p, *canopy_top_m, *canopy_top_p, *canopy_drag_m, *canopy_drag_p;
    const Real* star;  ///< velocity extrapolated to the new time, here and across (second order only)
    const Real *star_left_m, *star_left_p, *star_right_m, *star_right_p;
    std::ptrdiff_t along, across;  ///< to the next face along the normal, and beside it
    Real* out;
};

template <class Real>
FaceRows<Real> x_faces(const Sweep<Real>& s, int j, const Real* bed) {
    const std::ptrdiff_t r = j * s.row_stride;
    const std::ptrdiff_t n = s.row_stride;
    const std::ptrdiff_t p = j * s.stride;
    FaceRows<Real> f{};
    f.faces = s.cols + 1;
    f.sheets = s.present_new[j];
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
    if (s.source != nullptr) f.source_m = s.source + p - 1, f.source_p = s.source + p;
    if (s.stirring != nullptr) {
        f.stir_m = s.stirring + p - 1, f.stir_p = s.stirring + p;
        f.flow_m = s.flow_stirring + p - 1, f.flow_p = s.flow_stirring + p;
    }
    f.drag_m = s.ground_drag + p - 1, f.drag_p = s.ground_drag + p;
    if (s.canopy_top != nullptr) {
        f.canopy_top_m = s.canopy_top + p - 1, f.canopy_top_p = s.canopy_top + p;
        f.canopy_drag_m = s.canopy_drag + p - 1, f.canopy_drag_p = s.canopy_drag + p;
    }
    f.along = 1, f.across = n;
    if (s.order == SchemeOrder::second) {
        f.star = s.u_star + r;
        f.star_left_m = s.v_star + r - 1, f.star_left_p = s.v_star + r;
        f.star_right_m = f.star_left_m + n, f.star_right_p = f.star_left_p + n;
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
    f.sheets = larger(s.present_new[j - 1], s.present_new[j]);
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
    if (s.source != nullptr) f.source_m = s.source + p - s.stride, f.source_p = s.source + p;
    if (s.stirring != nullptr) {
        f.stir_m = s.stirring + p - s.stride, f.stir_p = s.stirring + p;
        f.flow_m = s.flow_stirring + p - s.stride, f.flow_p = s.flow_stirring + p;
    }
    f.drag_m = s.ground_drag + p - s.stride, f.drag_p = s.ground_drag + p;
    if (s.canopy_top != nullptr) {
        f.canopy_top_m = s.canopy_top + p - s.stride, f.canopy_top_p = s.canopy_top + p;
        f.canopy_drag_m = s.canopy_drag + p - s.stride, f.canopy_drag_p = s.canopy_drag + p;
    }
    f.along = n, f.across = 1;
    if (s.order == SchemeOrder::second) {
        f.star = s.v_star + r;
        f.star_left_m = s.u_star + r - n, f.star_left_p = s.u_star + r;
        f.star_right_m = f.star_left_m + 1, f.star_right_p = f.star_left_p + 1;
    }
    f.out = s.v_new + r;
    return f;
}

/// Advection and pressure, sheet by sheet; `mass` receives the face thickness, 0 where a sill closes the face
/// to the sheet.
template <class Real>
void advect_and_push(const Sweep<Real>& s, const FaceRows<Real>& f, Real* mass) {
    const Real dt = s.dt_velocity;
    const Real half_along = Real(0.5) * f.inverse_along;
    const Real half_across = Real(0.5) * f.inverse_across;
    const Real* __restrict bed_step = f.bed_step;
    for (int k = 0; k < f.sheets; ++k) {
        const std::ptrdiff_t o = k * s.stride;
        const Real push = dt * s.buoyancy[k] * f.inverse_along;
        const Real *h_m = f.h_m + o, *h_p = f.h_p + o, *bed_m = f.bed_m + o, *bed_p = f.bed_p + o;
        const Real *speed = f.speed + o, *speed_m = f.speed_m + o, *speed_p = f.speed_p + o;
        const Real *speed_l = f.speed_left + o, *speed_r = f.speed_right + o;
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
            const Real here = speed[i];
            const Real in_m = larger(flux_m[i] + flux[i], Real(0)) * half_along;
            const Real in_p = larger(-(flux[i] + flux_p[i]), Real(0)) * half_along;
            const Real in_l = larger(left_m[i] + left_p[i], Real(0)) * half_across;
            const Real in_r = larger(-(right_m[i] + right_p[i]), Real(0)) * half_across;
            const Real gain = (in_m * (speed_m[i] - here) + in_p * (speed_p[i] - here)) +
                              (in_l * (speed_l[i] - here) + in_r * (speed_r[i] - here));
            // More may flow in than stands here while a face fills; then the new velocity is the inflow's
            // mean.
            const Real held = larger(thick, dt * ((in_m + in_p) + (in_l + in_r)));
            const Real advected = here + dt * gain / larger(held, tiny<Real>);
            const Real pushed = advected - push * (step + (h_p[i] - h_m[i]));
            out[i] = open ? pushed : Real(0);
            m[i] = open ? thick : Real(0);
        }
    }
}

/// Rain falls without momentum: what fell into the top sheet in this step is set in motion by the rest.
template <class Real>
void set_rain_in_motion(const Sweep<Real>& s, const FaceRows<Real>& f, const Real* mass) {
    if (s.source == nullptr) return;
    const Real half = Real(0.5) * s.dt_velocity;
#pragma omp simd
    for (int i = 0; i < f.faces; ++i) {
        const Real fallen = half * (f.source_m[i] + f.source_p[i]);
        const Real share = smaller(fallen / larger(mass[i], tiny<Real>), Real(1));
        f.out[i] -= share * (mass[i] > 0 ? f.speed[i] : f.out[i]);
    }
}

/// Largest speed plus half the wave speed over a row of faces, as a rate; the halves of x and y add up to the
/// whole (an upper bound on |u|/dx + |v|/dy + c·wave_factor that treats both sides and both axes alike, so
/// that symmetry is kept to the bit).
template <class Real>
void gather_rates(const Sweep<Real>& s, int faces, Real inverse_along, const Real* fastest,
                  const Real* weight_m, const Real* weight_p, Real& rate, Real& outflow, Real& poison) {
    const Real half_wave = Real(0.5) * s.wave_factor;
    Real most_rate = rate;
    Real most_out = outflow;
    Real zeros = 0;
#pragma omp simd reduction(max : most_rate, most_out) reduction(+ : zeros)
    for (int i = 0; i < faces; ++i) {
        const Real out = fastest[i] * inverse_along;
        const Real here = out + std::sqrt(larger(weight_m[i], weight_p[i])) * half_wave;
        most_rate = larger(most_rate, here);
        most_out = larger(most_out, out);
        zeros += Real(0) * here;
    }
    rate = most_rate;
    outflow = most_out;
    poison += zeros;
}

}  // namespace
}  // namespace lielow
