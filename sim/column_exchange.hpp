// SPDX-License-Identifier: Apache-2.0
// What moves the isotherms in columns of still air: conduction through the gaps between them and the loss to
// the ground.
//
// Isotherm k (1 on top) stands S_k above the ground and moves by  δ dS_k/dt = φ_k − φ_{k−1}, where φ_k is the
// heat (K m/s) conducted up through the gap below it, K δ/(S_k − S_{k+1}), φ_0 = 0, and φ_L = q, the ground's
// loss. A flux can be no larger than what the ground and the sheet below can pay, φ_k ≤ φ_{k+1} + δ
// S_{k+1}/dt; that one rule lets a colder sheet appear when the ground takes more than the gap conducts, and
// vanish when it doesn't. Σ δ S_k grows by exactly q dt.
//
// A loss below zero warms the column. It can warm it no further than to the evening's air: what q gives
// beyond that is dropped, so whoever sets one keeps it within what the column lacks (sim/heat_sources.hpp
// does, and keeps account).
//
// Where the mixing follows stability (sim/stable_mixing.hpp), K differs from gap to gap, so no one step keeps
// the isotherms in order; a flux is then also no smaller than what keeps the isotherm below from passing the
// one above, φ_k ≥ φ_{k+1} − δ (S_k − S_{k+1})/dt, and no larger than what the one below can fall by.
//
// Compiled into the sweeps of every instruction set (sim/stack_sweep.cpp): its functions have internal
// linkage, so that no code built for a newer processor can leak into another copy.
#pragma once

#include <cstddef>

#include "sim/stable_mixing.hpp"

namespace lielow {

/// Values that steer the exchange of one row.
template <class Real>
struct ExchangeStep {
    int sheets;
    Real mixing;      ///< K, m²/s
    Real sheet_step;  ///< δ, K
    Real gap_floor;   ///< m
    Real dt;          ///< s, of one substep; at most gap_floor²/(4K) keeps the isotherms in order
    int substeps;
    // Where mixing follows stability:
    Real buoyancy_step = 0;  ///< δ g/θ0, m/s²
    Real roughness = 0;      ///< z0, m
};

/// Columns of a row while their heat is exchanged; pointers as for exchange_row.
template <class Real>
struct ExchangeRow {
    int n;
    std::ptrdiff_t stride;
    Real* h;
    Real* rise;
    const Real* loss;
    const Real* u_star;  ///< of still air and wind; null: the mixing is the same everywhere
    const Real* u_flow;  ///< of the flow over the ground
    Real* level;
    Real* flux;
    Real* line;
};

namespace {

/// Isotherms' heights from the thicknesses; nothing has risen yet.
template <class Real>
inline void stand_up(int sheets, const ExchangeRow<Real>& r) {
    Real* __restrict ground = r.level + sheets * r.stride;
    for (int i = 0; i < r.n; ++i) ground[i] = 0;
    for (int k = sheets - 1; k >= 0; --k) {
        const Real* below = r.level + (k + 1) * r.stride;
        const Real* __restrict thick = r.h + k * r.stride;
        Real* here = r.level + k * r.stride;
        Real* __restrict up = r.rise + k * r.stride;
        for (int i = 0; i < r.n; ++i) {
            here[i] = below[i] + thick[i];
            up[i] = 0;
        }
    }
}

template <class Real>
inline void uniform_fluxes(const ExchangeStep<Real>& e, const ExchangeRow<Real>& r) {
    const Real conduct = e.mixing * e.sheet_step;
    const Real pay = e.sheet_step / e.dt;
    const Real floor = e.gap_floor;
    for (int k = e.sheets - 2; k >= 0; --k) {
        const Real* __restrict here = r.level + k * r.stride;
        const Real* __restrict below = here + r.stride;
        const Real* __restrict lower = r.flux + (k + 1) * r.stride;
        Real* __restrict out = r.flux + k * r.stride;
#pragma omp simd
        for (int i = 0; i < r.n; ++i) {
            const Real gap = here[i] - below[i];
            const Real wide = gap > floor ? gap : floor;
            const Real wanted = conduct / wide;
            const Real most = lower[i] + pay * below[i];
            out[i] = wanted < most ? wanted : most;
        }
    }
}

/// As far as the step's length lets a gap conduct without swinging (K dt ≤ gap²/4).
template <class Real>
inline void stable_fluxes(const ExchangeStep<Real>& e, const ExchangeRow<Real>& r) {
    const Real pay = e.sheet_step / e.dt;
    const Real floor = e.gap_floor;
    const Real rough = e.roughness;
    const Real* __restrict u_star = r.u_star;
    const Real* __restrict u_flow = r.u_flow;
    const Real* __restrict top = r.level;
    Real* __restrict inverse_depth = r.line;
    // The ground doesn't rise: a flux below it as large as that out of it.
    Real* __restrict ground = r.flux + e.sheets * r.stride;
    for (int i = 0; i < r.n; ++i) {
        ground[i] = r.loss[i];
        inverse_depth[i] = 1 / (top[i] + rough);
    }
    for (int k = e.sheets - 2; k >= 0; --k) {
        const Real* __restrict here = r.level + k * r.stride;
        const Real* __restrict below = here + r.stride;
        const Real* __restrict next = below + r.stride;
        const Real* __restrict lower = r.flux + (k + 1) * r.stride;
        const Real* __restrict lowest = lower + r.stride;
        Real* __restrict out = r.flux + k * r.stride;
        // In a loop of its own: the compiler makes a branch of it where more hangs on it.
#pragma omp simd
        for (int i = 0; i < r.n; ++i) {
            const Real gap = here[i] - below[i];
            out[i] = gap > floor ? gap : floor;
        }
#pragma omp simd
        for (int i = 0; i < r.n; ++i) {
            const Real gap = here[i] - below[i];
            const Real wide = out[i];
            const Real middle = below[i] + (Real(0.5) * wide + rough);
            const Real stirred = stirred_at(u_flow[i], u_star[i], middle, inverse_depth[i]);
            const Real a = below[i] + (wide + rough);
            const Real b = below[i] + rough;
            const Real conducted = e.sheet_step * conductance(stirred, log_mean_over(a, b),
                                                              log_mean_under(a, b), wide, e.buoyancy_step);
            const Real steady = Real(0.25) * pay * wide;
            const Real wanted = conducted < steady ? conducted : steady;
            const Real least = lower[i] - pay * gap;
            const Real most = lower[i] + ((lower[i] - lowest[i]) + pay * (below[i] - next[i]));
            const Real pushed = wanted > least ? wanted : least;
            out[i] = pushed < most ? pushed : most;
        }
    }
}

template <class Real>
inline void lift_isotherms(const ExchangeStep<Real>& e, const ExchangeRow<Real>& r) {
    const Real lift = e.dt / e.sheet_step;
    for (int k = e.sheets - 1; k >= 0; --k) {
        const Real* __restrict in = r.flux + k * r.stride;
        Real* __restrict here = r.level + k * r.stride;
        Real* __restrict up = r.rise + k * r.stride;
        if (k == 0) {
            for (int i = 0; i < r.n; ++i) {
                const Real step = lift * in[i];
                here[i] += step;
                up[i] += step;
            }
        } else {
            const Real* __restrict out = r.flux + (k - 1) * r.stride;
            for (int i = 0; i < r.n; ++i) {
                const Real step = lift * (in[i] - out[i]);
                here[i] += step;
                up[i] += step;
            }
        }
    }
}

/// Columns [0, n) of a row: thickness h[k*stride + i] is updated, rise[k*stride + i] receives how far
/// isotherm k was lifted. `loss` is q for each column, `u_star` and `u_flow` its friction velocities; `flux`
/// is scratch of (sheets + 1) rows; `level` scratch of (sheets + 1) rows, `line` of one line.
template <class Real>
inline void exchange_row(const ExchangeStep<Real>& e, const ExchangeRow<Real>& r) {
    stand_up(e.sheets, r);
    for (int s = 0; s < e.substeps; ++s) {
        Real* __restrict lowest = r.flux + (e.sheets - 1) * r.stride;
        for (int i = 0; i < r.n; ++i) lowest[i] = r.loss[i];
        if (r.u_star == nullptr) {
            uniform_fluxes(e, r);
        } else {
            stable_fluxes(e, r);
        }
        lift_isotherms(e, r);
    }
    for (int k = 0; k < e.sheets; ++k) {
        for (int i = 0; i < r.n; ++i) {
            const Real lower = k + 1 < e.sheets ? r.rise[(k + 1) * r.stride + i] : Real(0);
            const Real thick = r.h[k * r.stride + i] + (r.rise[k * r.stride + i] - lower);
            r.h[k * r.stride + i] = thick > 0 ? thick : 0;
        }
    }
}

}  // namespace
}  // namespace lielow
