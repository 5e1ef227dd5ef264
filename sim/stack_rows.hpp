// SPDX-License-Identifier: Apache-2.0
// What the thickness sweep does to a row of cells.
// Private to stack_sweep.cpp, which is compiled once per instruction set: everything has internal linkage, so
// that no code built for a newer processor can leak into another copy.
#pragma once

#include <algorithm>

#include "sim/stack_sweep.hpp"

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

/// Zeroes the columns [0, columns) of a row's sheets from `sheets` down.
template <class Real>
void clear_absent(const Sweep<Real>& s, int sheets, int columns, Real* row) {
    for (int k = sheets; k < s.sheets; ++k) std::fill_n(row + k * s.stride, columns, Real(0));
}

/// How many of the first `sheets` sheets of a row of cells are there, counted from the top to the lowest that
/// is anywhere.
template <class Real>
int count_present(const Sweep<Real>& s, int sheets, const Real* row) {
    for (int k = sheets - 1; k >= 0; --k) {
        const Real* thick = row + k * s.stride;
        int anywhere = 0;  // not-a-number counts: it must reach the check for it
#pragma omp simd reduction(| : anywhere)
        for (int i = 0; i < s.cols; ++i) anywhere |= thick[i] != 0 ? 1 : 0;
        if (anywhere != 0) return k + 1;
    }
    return 0;
}

/// Sheets that flow may bring into row j from its neighbours.
inline int present_around(const int* present, int j) {
    const int beside = present[j - 1] > present[j + 1] ? present[j - 1] : present[j + 1];
    return present[j] > beside ? present[j] : beside;
}

/// Height of sheet k's effective bed above the ground, P_k = S_{k+1} + Σ_{j<k} (b_j/b_k) h_j, for one row
/// with its ghost columns, for the first `sheets` (those below must be absent); `weight` receives Σ b_k h_k,
/// the squared speed of the fastest wave.
template <class Real>
void effective_bed(const Sweep<Real>& s, int sheets, const Real* h, Real* __restrict bed,
                   Real* __restrict weight) {
    const int first = -1;
    const int last = s.cols + 1;
    for (int i = first; i < last; ++i) weight[i] = 0;
    for (int k = sheets - 1; k >= 0; --k) {
        const Real* __restrict thick = h + k * s.stride;
        Real* __restrict out = bed + k * s.stride;
#pragma omp simd
        for (int i = first; i < last; ++i) {
            out[i] = weight[i];
            weight[i] += thick[i];
        }
    }
    for (int i = first; i < last; ++i) weight[i] = 0;
    for (int k = 0; k < sheets; ++k) {
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

/// Upwind flux of the giving cell's whole sheet through a row of faces; `before` and `behind` are the rows of
/// cells on either side. Velocities are already zero where a sheet can't pass.
template <class Real>
void donor_flux_row(const Sweep<Real>& s, int sheets, int faces, const Real* h_before, const Real* h_behind,
                    const Real* velocity, Real* flux) {
    for (int k = 0; k < sheets; ++k) {
        const std::ptrdiff_t o = k * s.stride;
        const Real *hm = h_before + o, *hp = h_behind + o, *speed = velocity + o;
        Real* __restrict out = flux + o;
#pragma omp simd
        for (int i = 0; i < faces; ++i) out[i] = speed[i] * (speed[i] > 0 ? hm[i] : hp[i]);
    }
}

template <class Real>
void update_row(const Sweep<Real>& s, int sheets, int j, const Real* qx, const Real* qy_north,
                const Real* qy_south) {
    const Real cx = s.dt * s.inverse_dx;
    const Real cy = s.dt * s.inverse_dy;
    for (int k = 0; k < sheets; ++k) {
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

}  // namespace
}  // namespace lielow
