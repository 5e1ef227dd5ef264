// SPDX-License-Identifier: Apache-2.0
// Mixing that follows stability, between two heights: the log-linear profile of Monin and Obukhov's
// similarity. Private to stack_sweep.cpp, which is compiled once per instruction set: everything has internal
// linkage, so that no code built for a newer processor can leak into another copy.
//
// Where the ground takes q (K m/s) out of air stirred with the friction velocity u*, the profile (Dyer 1974,
// A review of flux-profile relationships, Boundary-Layer Meteorology 7, 363-372) is
//
//     θ(a) − θ(b) = q/(κ u*) [ln((a + z0)/(b + z0)) + 5 (a − b)/L] ,   L = u*³ θ0/(κ g q) .
//
// Solved for the flux between two isotherms d apart, with the logarithmic mean z of a + z0 and b + z0 in
// place of the height and N² = (g/θ0) (θ(a) − θ(b))/d, that is q = K (θ(a) − θ(b))/d with
//
//     K = 2 κ u* z/(1 + √(1 + 20 (κ z N/u*)²)) ,
//
// for isotherms however far apart. The flux is the local one at every height (Nieuwstadt 1984, The turbulent
// structure of the stable, nocturnal boundary layer, Journal of the Atmospheric Sciences 41, 2202-2216), so
// far from the ground K = u*²/(√5 N), whatever the height. Momentum mixes as heat does.
#pragma once

#include <cmath>

namespace lielow {
namespace {

/// Logarithmic mean (a − b)/ln(a/b) of a ≥ b > 0 as ⅔ √(a b) + ⅙ (a + b), never below it: 1 % too much at
/// a = 10 b, 9 % at a = 100 b.
template <class Real>
inline Real log_mean(Real a, Real b) {
    return Real(2.0 / 3.0) * std::sqrt(a * b) + Real(1.0 / 6.0) * (a + b);
}

/// Friction velocity at the height z in air of the depth h: that of the flow over the ground falls off to the
/// top of what flows (Nieuwstadt 1984 finds (1 − z/h)^¾; here in a straight line), that of still air and of
/// the wind aloft, `least`, doesn't.
template <class Real>
inline Real stirred_at(Real flow, Real least, Real z, Real inverse_depth) {
    const Real left = flow * (1 - z * inverse_depth);
    return left > least ? left : least;
}

/// K over a gap of `wide` m across which the buoyancy changes by `jump` (m/s²), at the mean height z (z0 on
/// top).
template <class Real>
inline Real conductance(Real u_star, Real z, Real wide, Real jump) {
    const Real stirred = u_star * u_star;
    const Real turns = Real(0.4) * z;
    return 2 * stirred * turns /
           (u_star * wide + std::sqrt(wide * (stirred * wide + 20 * turns * turns * jump)));
}

}  // namespace
}  // namespace lielow
