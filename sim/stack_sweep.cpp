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

/// Height of each isotherm above the ground, S_k = Σ_{j>=k} h_j, for one row with its ghost columns.
template <class Real>
void isotherm_heights(const Sweep<Real>& s, const Real* h, Real* __restrict height) {
    const int first = -1;
    const int last = s.cols + 1;
    const std::ptrdiff_t lowest = (s.sheets - 1) * s.stride;
    for (int i = first; i < last; ++i) height[lowest + i] = h[lowest + i];
    for (int k = s.sheets - 2; k >= 0; --k) {
        const Real* __restrict thick = h + k * s.stride;
        const Real* __restrict below = height + (k + 1) * s.stride;
        Real* __restrict out = height + k * s.stride;
#pragma omp simd
        for (int i = first; i < last; ++i) out[i] = below[i] + thick[i];
    }
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
#pragma omp simd
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
#pragma omp simd
        for (int i = first; i < last; ++i) {
            out[i] += weight[i] * inverse;
            weight[i] += b * thick[i];
        }
    }
}

/// Upwind flux through a row of faces: of the giving cell's sheet, the part that stands above the ground's
/// sill. `before` and `behind` are the rows of cells on either side. Velocities are already zero where a
/// sheet can't pass.
template <class Real>
void flux_row(const Sweep<Real>& s, int faces, const Real* h_before, const Real* h_behind,
              const Real* height_before, const Real* height_behind, const Real* bed_step,
              const Real* velocity, Real* flux) {
    for (int k = 0; k < s.sheets; ++k) {
        const std::ptrdiff_t o = k * s.stride;
        const Real *hm = h_before + o, *hp = h_behind + o;
        const Real *sm = height_before + o, *sp = height_behind + o;
        const Real* speed = velocity + o;
        Real* __restrict out = flux + o;
#pragma omp simd
        for (int i = 0; i < faces; ++i) {
            const Real forward = larger(Real(0), smaller(hm[i], sm[i] - bed_step[i]));
            const Real backward = larger(Real(0), smaller(hp[i], sp[i] + bed_step[i]));
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
#pragma omp simd
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
    Real* height_here = scratch + static_cast<std::ptrdiff_t>(64 / sizeof(Real));
    Real* height_next = height_here + s.row_stride;
    Real* level = height_next + s.row_stride;
    Real* flux = level + s.row_stride + s.stride;
    Real* south_edge = flux + s.row_stride + s.stride;

    // The first row's north faces: they belong to this band, the south faces of its last row to the next one.
    isotherm_heights(s, s.h + (first - 1) * s.row_stride, height_next);
    isotherm_heights(s, s.h + first * s.row_stride, height_here);
    flux_row(s, s.cols, s.h + (first - 1) * s.row_stride, s.h + first * s.row_stride, height_next,
             height_here, s.bed_step_y + first * s.stride, s.v + first * s.row_stride,
             s.qy + first * s.row_stride);
    for (int j = first; j < last; ++j) {
        const Real* here = s.h + j * s.row_stride;
        isotherm_heights(s, here + s.row_stride, height_next);
        flux_row(s, s.cols + 1, here - 1, here, height_here - 1, height_here, s.bed_step_x + j * s.stride,
                 s.u + j * s.row_stride, s.qx + j * s.row_stride);
        const bool last_of_band = j + 1 == last && last != s.rows;
        Real* south = last_of_band ? south_edge : s.qy + (j + 1) * s.row_stride;
        flux_row(s, s.cols, here, here + s.row_stride, height_here, height_next,
                 s.bed_step_y + (j + 1) * s.stride, s.v + (j + 1) * s.row_stride, south);
        update_row(s, j, s.qx + j * s.row_stride, s.qy + j * s.row_stride, south);
        if (s.exchange) {
            const ExchangeStep<Real> e{
                s.sheets,  s.mixing, s.sheet_step, s.gap_floor, s.dt / static_cast<Real>(s.substeps),
                s.substeps};
            exchange_row(e, s.cols, s.stride, s.h_new + j * s.row_stride, s.rise + j * s.row_stride,
                         s.loss + j * s.stride, level, flux);
        }
        Real* swap = height_here;
        height_here = height_next;
        height_next = swap;
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
    const Real dt = s.dt;
    const Real half_along = Real(0.5) * f.inverse_along;
    const Real half_across = Real(0.5) * f.inverse_across;
    const Real* __restrict bed_step = f.bed_step;
    for (int k = 0; k < s.sheets; ++k) {
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

/// Coefficient of the ground's stress, |stress| = coefficient · |u|², at each face, over the depth it is
/// spread across.
template <class Real>
void ground_stress(const Sweep<Real>& s, const FaceRows<Real>& f, const Real* mass, Real* __restrict stress,
                   Real* __restrict reach) {
    for (int i = 0; i < f.faces; ++i) reach[i] = 0;
    for (int k = 0; k < s.sheets; ++k) {
        const Real* __restrict m = mass + k * s.stride;
#pragma omp simd
        for (int i = 0; i < f.faces; ++i) reach[i] += m[i];
    }
    const Real *drag_m = f.drag_m, *drag_p = f.drag_p;
    const Real factor = s.drag_law == DragLaw::none             ? Real(0)
                        : s.drag_law == DragLaw::darcy_weisbach ? Real(0.125)
                                                                : Real(1);
#pragma omp simd
    for (int i = 0; i < f.faces; ++i) stress[i] = factor * Real(0.5) * (drag_m[i] + drag_p[i]);
    if (s.drag_law == DragLaw::manning) {
        for (int i = 0; i < f.faces; ++i) {
            stress[i] *= Real(9.81) * stress[i] / std::cbrt(larger(reach[i], Real(1e-6)));
        }
    }
    const Real height = s.sheets == 1 ? Real(1e30) : s.drag_height;
#pragma omp simd
    for (int i = 0; i < f.faces; ++i) {
        reach[i] = smaller(reach[i], height);
        stress[i] /= larger(reach[i], tiny<Real>);
    }
}

/// dt × drag rate × thickness of each sheet at the faces, from the ground's and the canopy's stress. The
/// speed is that which the drag leaves at the end of the step (the root of u + dt c |u| u / h = u*), so that
/// thin fast sheets don't overshoot.
template <class Real>
void ground_and_canopy(const Sweep<Real>& s, const FaceRows<Real>& f, const Real* mass, Real* drag,
                       Real* lines) {
    Real* __restrict stress = lines;
    Real* __restrict reach = stress + s.stride;
    Real* __restrict below = reach + s.stride;
    ground_stress(s, f, mass, stress, reach);
    for (int i = 0; i < f.faces; ++i) below[i] = 0;
    const bool canopy = s.canopy_top != nullptr;
    const Real dt = s.dt;
    for (int k = s.sheets - 1; k >= 0; --k) {
        const std::ptrdiff_t o = k * s.stride;
        const Real* __restrict m = mass + o;
        const Real* __restrict along = f.out + o;
        const Real *left_m = f.cross_left_m + o, *left_p = f.cross_left_p + o;
        const Real *right_m = f.cross_right_m + o, *right_p = f.cross_right_p + o;
        Real* __restrict out = drag + o;
#pragma omp simd
        for (int i = 0; i < f.faces; ++i) {
            out[i] = stress[i] * (smaller(below[i] + m[i], reach[i]) - smaller(below[i], reach[i]));
        }
        if (canopy) {
            const Real *top_m = f.canopy_top_m, *top_p = f.canopy_top_p;
            const Real *drag_m = f.canopy_drag_m, *drag_p = f.canopy_drag_p;
#pragma omp simd
            for (int i = 0; i < f.faces; ++i) {
                const Real top = Real(0.5) * (top_m[i] + top_p[i]);
                const Real inside = smaller(below[i] + m[i], top) - smaller(below[i], top);
                out[i] += Real(0.5) * (drag_m[i] + drag_p[i]) * inside;
            }
        }
#pragma omp simd
        for (int i = 0; i < f.faces; ++i) {
            const Real across = Real(0.25) * ((left_m[i] + left_p[i]) + (right_m[i] + right_p[i]));
            const Real speed = std::sqrt(along[i] * along[i] + across * across);
            const Real a = dt * out[i];
            const Real left = 2 * speed / (1 + std::sqrt(1 + 4 * a * speed / larger(m[i], tiny<Real>)));
            out[i] = a * left;
            below[i] += m[i];
        }
    }
}

/// dt × what couples sheet k's velocity to the next lower one's, at each face; zero below the lowest sheet.
template <class Real>
void couple_below(const Sweep<Real>& s, const FaceRows<Real>& f, const Real* mass, int k,
                  Real* __restrict coupling) {
    if (k + 1 == s.sheets) {
        for (int i = 0; i < f.faces; ++i) coupling[i] = 0;
        return;
    }
    const std::ptrdiff_t o = k * s.stride;
    const Real* __restrict m = mass + o;
    const Real* __restrict own = f.out + o;
    const std::ptrdiff_t n = s.stride;
    const Real floor = s.gap_floor;
    const Real mixing = s.dt * s.momentum_mixing;
    const Real interface = s.dt * s.interface_drag;
#pragma omp simd
    for (int i = 0; i < f.faces; ++i) {
        const Real gap = larger(Real(0.5) * (m[i] + m[n + i]), floor);
        coupling[i] = mixing / gap + interface * magnitude(own[i] - own[n + i]);
    }
}

/// Implicit momentum exchange between the sheets, with the air above and the ground: a tridiagonal system per
/// face (Thomas). Air that the column exchange moved from one sheet to another in this step brings its
/// momentum along.
template <class Real>
void exchange_momentum(const Sweep<Real>& s, const FaceRows<Real>& f, const Real* mass, const Real* drag,
                       Real* factor, Real* lines) {
    Real* up = lines;
    Real* down = up + s.stride;
    Real* nothing = down + s.stride;
    Real* wind = nothing + s.stride;
    const Real floor = s.gap_floor;
    for (int i = 0; i < f.faces; ++i) {
        nothing[i] = 0;
        wind[i] = f.wind;
        up[i] = s.dt * (s.momentum_mixing / larger(mass[i], floor) +
                        s.interface_drag * magnitude(f.out[i] - f.wind));
    }
    for (int k = 0; k < s.sheets; ++k) {
        const std::ptrdiff_t o = k * s.stride;
        const bool top = k == 0;
        const bool bottom = k + 1 == s.sheets;
        couple_below(s, f, mass, k, down);
        const Real* __restrict m = mass + o;
        const Real* __restrict held = drag + o;
        const Real* __restrict coupled_up = up;
        const Real* __restrict coupled_down = down;
        const Real* above = top ? wind : f.out + o - s.stride;
        const Real* factor_above = top ? nothing : factor + o - s.stride;
        const Real* rise_m = s.exchange ? f.rise_m + o : nothing;
        const Real* rise_p = s.exchange ? f.rise_p + o : nothing;
        const Real* lower_m = s.exchange && !bottom ? f.rise_m + o + s.stride : nothing;
        const Real* lower_p = s.exchange && !bottom ? f.rise_p + o + s.stride : nothing;
        Real* __restrict out = f.out + o;
        Real* __restrict factor_here = factor + o;
#pragma omp simd
        for (int i = 0; i < f.faces; ++i) {
            const Real from_above = larger(Real(0.5) * (rise_m[i] + rise_p[i]), Real(0));
            const Real from_below = larger(Real(-0.5) * (lower_m[i] + lower_p[i]), Real(0));
            const Real kept = larger(m[i] - (from_above + from_below), Real(0));
            const Real to_upper = coupled_up[i] + from_above;
            const Real to_lower = coupled_down[i] + from_below;
            const Real diagonal = kept + to_upper + to_lower + held[i] - to_upper * factor_above[i];
            const Real inverse = 1 / larger(diagonal, tiny<Real>);
            factor_here[i] = to_lower * inverse;
            out[i] = (kept * out[i] + to_upper * above[i]) * inverse;
        }
        Real* swap = up;
        up = down;
        down = swap;
    }
    for (int k = s.sheets - 2; k >= 0; --k) {
        const std::ptrdiff_t o = k * s.stride;
        Real* __restrict out = f.out + o;
        const Real* __restrict lower = out + s.stride;
        const Real* __restrict factor_here = factor + o;
#pragma omp simd
        for (int i = 0; i < f.faces; ++i) out[i] += factor_here[i] * lower[i];
    }
}

template <class Real>
void close_faces(const Sweep<Real>& s, const FaceRows<Real>& f, const Real* mass, Real* __restrict fastest) {
    for (int i = 0; i < f.faces; ++i) fastest[i] = 0;
    for (int k = 0; k < s.sheets; ++k) {
        const std::ptrdiff_t o = k * s.stride;
        Real* __restrict out = f.out + o;
        const Real* __restrict m = mass + o;
#pragma omp simd
        for (int i = 0; i < f.faces; ++i) {
            out[i] = m[i] > 0 ? out[i] : Real(0);
            fastest[i] = larger(fastest[i], magnitude(out[i]));
        }
    }
}

template <class Real>
void face_row(const Sweep<Real>& s, const FaceRows<Real>& f, Real* mass, Real* drag, Real* factor,
              Real* lines, Real* fastest) {
    advect_and_push(s, f, mass);
    const bool column = s.sheets > 1 || s.interface_drag > 0 || s.momentum_mixing > 0;
    if (column || s.drag_law != DragLaw::none || s.canopy_top != nullptr) {
        ground_and_canopy(s, f, mass, drag, lines);
        exchange_momentum(s, f, mass, drag, factor, lines);
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

template <class Real>
void velocity_sweep(const Sweep<Real>& s, int first, int last, Real* scratch, SweepRates<Real>& rates) {
    Real* bed_north = scratch + static_cast<std::ptrdiff_t>(64 / sizeof(Real));
    Real* bed_here = bed_north + s.row_stride;
    Real* mass = bed_here + s.row_stride;
    Real* drag = mass + s.row_stride;
    Real* factor = drag + s.row_stride;
    Real* lines = factor + s.row_stride;
    Real* weight_north = lines + 4 * s.stride;
    Real* weight_here = weight_north + s.stride;
    Real* fastest = weight_here + s.stride;

    effective_bed(s, s.h_new + (first - 1) * s.row_stride, bed_north, weight_north);
    const int end = last == s.rows ? last + 1 : last;
    for (int j = first; j < end; ++j) {
        effective_bed(s, s.h_new + j * s.row_stride, bed_here, weight_here);
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
