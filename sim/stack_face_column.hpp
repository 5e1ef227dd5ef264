// SPDX-License-Identifier: Apache-2.0
// What acts between the sheets and on the ground at a row of faces: drag, momentum exchange, closed faces.
// Private to stack_sweep.cpp, which is compiled once per instruction set: everything has internal linkage, so
// that no code built for a newer processor can leak into another copy.
#pragma once

#include <cmath>

#include "sim/stable_mixing.hpp"
#include "sim/stack_cube_root.hpp"
#include "sim/stack_faces.hpp"

namespace lielow {
namespace {

/// Manning's n at faces under water of depth `reach`: falls towards that of deep water.
template <class Real>
void thin_out(const Sweep<Real>& s, int faces, const Real* __restrict reach, Real* __restrict n) {
#pragma omp simd
    for (int i = 0; i < faces; ++i) {
        const Real share = smaller(larger((reach[i] - s.thin_to) * s.thin_to_deep, Real(0)), Real(1));
        n[i] += share * (smaller(s.deep_drag, n[i]) - n[i]);
    }
}

/// Coefficient of the ground's stress, |stress| = coefficient · |u|², at each face, over the depth it is
/// spread across.
template <class Real>
void ground_stress(const Sweep<Real>& s, const FaceRows<Real>& f, const Real* mass, Real* __restrict stress,
                   Real* __restrict reach) {
    for (int i = 0; i < f.faces; ++i) reach[i] = 0;
    for (int k = 0; k < f.sheets; ++k) {
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
        if (s.deep_drag > 0) thin_out(s, f.faces, reach, stress);
#pragma omp simd
        for (int i = 0; i < f.faces; ++i)
            stress[i] *= Real(9.81) * stress[i] / cube_root(larger(reach[i], Real(1e-6)));
    }
    const Real height = s.sheets == 1 ? Real(1e30) : s.drag_height;
#pragma omp simd
    for (int i = 0; i < f.faces; ++i) {
        reach[i] = smaller(reach[i], height);
        stress[i] /= larger(reach[i], tiny<Real>);
    }
}

/// Drag area (coefficient over the depth it acts on) that faces [from, to) of a sheet feel, into `out`: the
/// ground's over the lowest metres, the canopy's up to its top. `below` is what lies under the sheet. Returns
/// whether any feels drag.
template <class Real>
bool drag_area(const FaceRows<Real>& f, bool canopy, const Real* __restrict m, const Real* __restrict below,
               const Real* __restrict stress, const Real* __restrict reach, int from, int to,
               Real* __restrict out) {
    Real most = 0;
#pragma omp simd reduction(max : most)
    for (int i = from; i < to; ++i) {
        out[i] = stress[i] * (smaller(below[i] + m[i], reach[i]) - smaller(below[i], reach[i]));
        most = larger(most, out[i]);
    }
    if (!canopy) return most > 0;
    const Real *top_m = f.canopy_top_m, *top_p = f.canopy_top_p;
    const Real *drag_m = f.canopy_drag_m, *drag_p = f.canopy_drag_p;
#pragma omp simd reduction(max : most)
    for (int i = from; i < to; ++i) {
        const Real top = Real(0.5) * (top_m[i] + top_p[i]);
        const Real inside = smaller(below[i] + m[i], top) - smaller(below[i], top);
        out[i] += Real(0.5) * (drag_m[i] + drag_p[i]) * inside;
        most = larger(most, out[i]);
    }
    return most > 0;
}

/// In: drag area; out: dt × drag rate × thickness at faces [from, to) of sheet k. The speed is that which the
/// drag leaves at the end of the step (the root of u + dt c |u| u / h = u*), so that thin fast sheets don't
/// overshoot.
template <class Real>
void drag_left(const Sweep<Real>& s, const FaceRows<Real>& f, int k, const Real* __restrict m, int from,
               int to, Real* __restrict out) {
    const std::ptrdiff_t o = k * s.stride;
    const Real dt = s.dt_velocity;
    const Real* __restrict along = f.out + o;
    const Real *left_m = f.cross_left_m + o, *left_p = f.cross_left_p + o;
    const Real *right_m = f.cross_right_m + o, *right_p = f.cross_right_p + o;
#pragma omp simd
    for (int i = from; i < to; ++i) {
        const Real across = Real(0.25) * ((left_m[i] + left_p[i]) + (right_m[i] + right_p[i]));
        const Real a = dt * out[i];
        const Real c = a / larger(m[i], tiny<Real>);
        const Real star = magnitude(along[i]);
        const Real across2 = across * across;
        // Newton's rule from above for (left² - across²) (1 + c left)² = star².
        const Real own = 2 * star / (1 + std::sqrt(1 + 4 * c * star));
        Real left = std::sqrt(own * own + across2);
        for (int n = 0; n < 3; ++n) {
            const Real grown = 1 + c * left;
            const Real rest = left * left - across2;
            left -= (rest * grown - star * star / grown) / larger(2 * (left * grown + c * rest), tiny<Real>);
        }
        out[i] = a * left;
    }
}

/// Greatest height above the ground at which faces [from, to) feel any drag.
template <class Real>
Real drag_ceiling(const FaceRows<Real>& f, bool canopy, const Real* __restrict reach, int from, int to) {
    Real most = 0;
#pragma omp simd reduction(max : most)
    for (int i = from; i < to; ++i) most = larger(most, reach[i]);
    if (!canopy) return most;
    const Real *top_m = f.canopy_top_m, *top_p = f.canopy_top_p;
#pragma omp simd reduction(max : most)
    for (int i = from; i < to; ++i) most = larger(most, Real(0.5) * (top_m[i] + top_p[i]));
    return most;
}

/// Adds a sheet to what lies below, at faces [from, to); returns the least of it.
template <class Real>
Real pile_up(const Real* __restrict m, int from, int to, Real* __restrict below) {
    Real least = below[from] + m[from];
#pragma omp simd reduction(min : least)
    for (int i = from; i < to; ++i) {
        below[i] += m[i];
        least = smaller(least, below[i]);
    }
    return least;
}

/// dt × drag rate × thickness of each sheet at the faces, from the ground's and the canopy's stress. Most of
/// a deep stack stands above both, so the work is done only where some is felt.
template <class Real>
void ground_and_canopy(const Sweep<Real>& s, const FaceRows<Real>& f, const Real* mass, Real* drag,
                       Real* lines) {
    constexpr int together = 64;
    Real* __restrict stress = lines;
    Real* __restrict reach = stress + s.stride;
    Real* __restrict below = reach + s.stride;
    ground_stress(s, f, mass, stress, reach);
    for (int i = 0; i < f.faces; ++i) below[i] = 0;
    const bool canopy = s.canopy_top != nullptr;
    for (int from = 0; from < f.faces; from += together) {
        const int to = from + together < f.faces ? from + together : f.faces;
        const Real ceiling = drag_ceiling(f, canopy, reach, from, to);
        Real least_below = 0;
        for (int k = f.sheets - 1; k >= 0; --k) {
            const Real* __restrict m = mass + k * s.stride;
            Real* __restrict out = drag + k * s.stride;
            if (least_below >= ceiling) {
                for (int i = from; i < to; ++i) out[i] = 0;
                continue;
            }
            if (drag_area(f, canopy, m, below, stress, reach, from, to, out))
                drag_left(s, f, k, m, from, to, out);
            least_below = pile_up(m, from, to, below);
        }
    }
}

/// Lines of scratch that exchange_momentum needs.
constexpr int face_lines = 7;

/// Number of the lowest sheet that is open at each face, -1 where none is, and the height of the open ones.
template <class Real>
void find_lowest(const Sweep<Real>& s, const FaceRows<Real>& f, const Real* mass, Real* __restrict lowest,
                 Real* __restrict height, Real* __restrict inverse_depth) {
    for (int i = 0; i < f.faces; ++i) {
        lowest[i] = -1;
        height[i] = 0;
    }
    for (int k = 0; k < f.sheets; ++k) {
        const Real* __restrict m = mass + k * s.stride;
#pragma omp simd
        for (int i = 0; i < f.faces; ++i) {
            lowest[i] = m[i] > 0 ? Real(k) : lowest[i];
            height[i] += m[i];
        }
    }
    const Real rough = larger(s.roughness, tiny<Real>);
#pragma omp simd
    for (int i = 0; i < f.faces; ++i) inverse_depth[i] = 1 / (height[i] + rough);
}

/// dt × K/gap between two sheets at faces, from the friction velocities and the height of what parts them.
template <class Real>
Real mixed_over(const Sweep<Real>& s, Real least, Real flow, Real height, Real inverse_depth, Real gap) {
    const Real z = larger(height, Real(0)) + s.roughness;
    const Real u_star = stirred_at(flow, least, z, inverse_depth);
    return s.dt_velocity * conductance(u_star, z, Real(1), gap, s.buoyancy[0]);
}

/// dt × what couples the top sheet's velocity to the air above it, at each face.
template <class Real>
void couple_above(const Sweep<Real>& s, const FaceRows<Real>& f, const Real* __restrict mass,
                  const Real* __restrict height, const Real* __restrict inverse_depth,
                  Real* __restrict coupling) {
    const Real floor = s.gap_floor;
    const Real mixing = s.dt_velocity * s.momentum_mixing;
    const Real interface = s.dt_velocity * s.interface_drag;
    const Real aloft = f.wind;
    const Real* __restrict speed = f.out;
    const Real *stir_m = f.stir_m, *stir_p = f.stir_p;
    if (s.stirring != nullptr) {
        // In a loop of its own: the compiler makes a branch of it where more hangs on it.
#pragma omp simd
        for (int i = 0; i < f.faces; ++i) coupling[i] = larger(mass[i], floor);
#pragma omp simd
        for (int i = 0; i < f.faces; ++i) {
            const Real least = Real(0.5) * (stir_m[i] + stir_p[i]);
            const Real gap = coupling[i];
            coupling[i] = mixed_over(s, least, Real(0), height[i], inverse_depth[i], gap) +
                          interface * magnitude(speed[i] - aloft);
        }
        return;
    }
#pragma omp simd
    for (int i = 0; i < f.faces; ++i)
        coupling[i] = mixing / larger(mass[i], floor) + interface * magnitude(speed[i] - aloft);
}

/// dt × what couples sheet k's velocity to the next lower one's, at each face; zero from the lowest sheet
/// down, so that passing over absent sheets changes nothing. A sheet that ran out between others still
/// couples them: a film without any hold on the air above would be at the mercy of rounding. `height`: in,
/// that of the top of sheet k; out, of its bottom.
template <class Real>
void couple_below(const Sweep<Real>& s, const FaceRows<Real>& f, const Real* mass, int k,
                  const Real* __restrict lowest, Real* __restrict height,
                  const Real* __restrict inverse_depth, Real* __restrict coupling) {
    if (k + 1 == f.sheets) {
        for (int i = 0; i < f.faces; ++i) coupling[i] = 0;
        return;
    }
    const std::ptrdiff_t o = k * s.stride;
    const Real* __restrict m = mass + o;
    const Real* __restrict own = f.out + o;
    const std::ptrdiff_t n = s.stride;
    const Real floor = s.gap_floor;
    const Real mixing = s.dt_velocity * s.momentum_mixing;
    const Real interface = s.dt_velocity * s.interface_drag;
    const Real *stir_m = f.stir_m, *stir_p = f.stir_p;
    const Real *flow_m = f.flow_m, *flow_p = f.flow_p;
    if (s.stirring != nullptr) {
#pragma omp simd
        for (int i = 0; i < f.faces; ++i) {
            const Real gap = larger(Real(0.5) * (m[i] + m[n + i]), floor);
            height[i] -= m[i];
            const Real least = Real(0.5) * (stir_m[i] + stir_p[i]);
            const Real flow = Real(0.5) * (flow_m[i] + flow_p[i]);
            const Real coupled = mixed_over(s, least, flow, height[i], inverse_depth[i], gap) +
                                 interface * magnitude(own[i] - own[n + i]);
            coupling[i] = Real(k) < lowest[i] ? coupled : Real(0);
        }
        return;
    }
#pragma omp simd
    for (int i = 0; i < f.faces; ++i) {
        const Real gap = larger(Real(0.5) * (m[i] + m[n + i]), floor);
        const Real coupled = mixing / gap + interface * magnitude(own[i] - own[n + i]);
        coupling[i] = Real(k) < lowest[i] ? coupled : Real(0);
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
    Real* lowest = wind + s.stride;
    Real* height = lowest + s.stride;
    Real* inverse_depth = height + s.stride;
    find_lowest(s, f, mass, lowest, height, inverse_depth);
    for (int i = 0; i < f.faces; ++i) {
        nothing[i] = 0;
        wind[i] = f.wind;
    }
    couple_above(s, f, mass, height, inverse_depth, up);
    for (int k = 0; k < f.sheets; ++k) {
        const std::ptrdiff_t o = k * s.stride;
        const bool top = k == 0;
        const bool bottom = k + 1 == f.sheets;
        couple_below(s, f, mass, k, lowest, height, inverse_depth, down);
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
            const Real lost_below = larger(Real(-0.5) * (lower_m[i] + lower_p[i]), Real(0));
            const Real from_below = Real(k) < lowest[i] ? lost_below : Real(0);
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
    for (int k = f.sheets - 2; k >= 0; --k) {
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
    for (int k = 0; k < f.sheets; ++k) {
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

}  // namespace
}  // namespace lielow
