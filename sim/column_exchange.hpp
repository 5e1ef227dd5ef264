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
#pragma once

#include <cstddef>

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
};

/// Columns [0, n) of a row: thickness h[k*stride + i] is updated, rise[k*stride + i] receives how far
/// isotherm k was lifted. `loss` is q for each column; `flux` is scratch of (sheets + 1) rows; `level`
/// scratch of (sheets + 1) rows.
template <class Real>
// NOLINTNEXTLINE(readability-function-cognitive-complexity): loops over columns that belong together
inline void exchange_row(const ExchangeStep<Real>& e, int n, std::ptrdiff_t stride, Real* __restrict h,
                         Real* __restrict rise, const Real* __restrict loss, Real* __restrict level,
                         Real* __restrict flux) {
    const int sheets = e.sheets;
    Real* __restrict ground = level + sheets * stride;
    for (int i = 0; i < n; ++i) ground[i] = 0;
    for (int k = sheets - 1; k >= 0; --k) {
        const Real* below = level + (k + 1) * stride;
        Real* here = level + k * stride;
        for (int i = 0; i < n; ++i) {
            here[i] = below[i] + h[k * stride + i];
            rise[k * stride + i] = 0;
        }
    }
    const Real conduct = e.mixing * e.sheet_step;
    const Real pay = e.sheet_step / e.dt;
    const Real lift = e.dt / e.sheet_step;
    for (int s = 0; s < e.substeps; ++s) {
        Real* __restrict lowest = flux + (sheets - 1) * stride;
        for (int i = 0; i < n; ++i) lowest[i] = loss[i];
        for (int k = sheets - 2; k >= 0; --k) {
            const Real* __restrict here = level + k * stride;
            const Real* __restrict below = here + stride;
            const Real* __restrict lower = flux + (k + 1) * stride;
            Real* __restrict out = flux + k * stride;
#pragma omp simd
            for (int i = 0; i < n; ++i) {
                const Real gap = here[i] - below[i];
                const Real wide = gap > e.gap_floor ? gap : e.gap_floor;
                const Real wanted = conduct / wide;
                const Real most = lower[i] + pay * below[i];
                out[i] = wanted < most ? wanted : most;
            }
        }
        for (int k = sheets - 1; k >= 0; --k) {
            const Real* __restrict in = flux + k * stride;
            Real* __restrict here = level + k * stride;
            Real* __restrict up = rise + k * stride;
            if (k == 0) {
                for (int i = 0; i < n; ++i) {
                    const Real step = lift * in[i];
                    here[i] += step;
                    up[i] += step;
                }
            } else {
                const Real* __restrict out = flux + (k - 1) * stride;
                for (int i = 0; i < n; ++i) {
                    const Real step = lift * (in[i] - out[i]);
                    here[i] += step;
                    up[i] += step;
                }
            }
        }
    }
    for (int k = 0; k < sheets; ++k) {
        for (int i = 0; i < n; ++i) {
            const Real lower = k + 1 < sheets ? rise[(k + 1) * stride + i] : Real(0);
            const Real thick = h[k * stride + i] + (rise[k * stride + i] - lower);
            h[k * stride + i] = thick > 0 ? thick : 0;
        }
    }
}

}  // namespace lielow
