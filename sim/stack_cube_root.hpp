// SPDX-License-Identifier: Apache-2.0
// Cube roots of a row of depths. The C library's takes most of a step under Manning's law, for it can't be
// vectorised without giving up equal bits on every processor; this one is plain arithmetic.
// Private to stack_sweep.cpp, like the headers beside it: everything has internal linkage.
#pragma once

#include <bit>
#include <cstdint>

namespace lielow {
namespace {

/// Cube root of a positive normal number, to a few units in the last place. A third of the exponent's and
/// mantissa's bits, taken as one number, is right to 4 %; Halley's rule cubes the error twice.
template <class Real>
inline Real cube_root(Real x) {
    const auto bits = static_cast<float>(std::bit_cast<std::int32_t>(static_cast<float>(x)));
    constexpr float third_of_bias = 709921077.0F;  // two thirds of the bits of 1, less what centres the error
    const auto guess = static_cast<std::int32_t>(bits * (1.0F / 3) + third_of_bias);
    auto root = static_cast<Real>(std::bit_cast<float>(guess));
    for (int n = 0; n < 2; ++n) {
        const Real cube = root * root * root;
        root *= (cube + 2 * x) / (2 * cube + x);
    }
    return root;
}

}  // namespace
}  // namespace lielow
