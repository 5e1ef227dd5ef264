// SPDX-License-Identifier: Apache-2.0
// Van Leer's limiter. Internal linkage, because the sweeps are compiled once per instruction set.
#pragma once

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

}  // namespace
}  // namespace lielow
