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

// Logarithmic mean (a − b)/ln(a/b) of a ≥ b > 0 by Gauss and Legendre's rule of three points for ln: never
// below it, 1 % too much at a = 7 b, 2.5 % at a = 10 b. As numerator and denominator, so that one division
// serves all (two functions, because a struct of both keeps the compiler from using vectors):

template <class Real>
inline Real log_mean_over(Real a, Real b) {
    return 3 * (a + b) * (a * a + b * b + 8 * (a * b));
}
template <class Real>
inline Real log_mean_under(Real a, Real b) {
    return 11 * (a * a + b * b) + 38 * (a * b);
}

/// Friction velocity at the height z in air of the depth h: that of the flow over the ground falls off to the
/// top of what flows (Nieuwstadt 1984 finds (1 − z/h)^¾; here in a straight line), that of still air and of
/// the wind aloft, `least`, doesn't.
template <class Real>
inline Real stirred_at(Real flow, Real least, Real z, Real inverse_depth) {
    const Real left = flow * (1 - z * inverse_depth);
    return left > least ? left : least;
}

/// K over a gap of `wide` m across which the buoyancy changes by `jump` (m/s²), m/s, at the mean height
/// over/under (z0 on top).
template <class Real>
inline Real conductance(Real u_star, Real over, Real under, Real wide, Real jump) {
    const Real turns = Real(0.4) * over;
    const Real open = u_star * under * wide;
    return 2 * u_star * u_star * turns / (open + std::sqrt(open * open + 20 * turns * turns * (jump * wide)));
}

}  // namespace
}  // namespace lielow
