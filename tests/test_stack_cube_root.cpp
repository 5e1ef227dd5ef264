// SPDX-License-Identifier: Apache-2.0
// The sweeps' cube root against the C library's.
#include "sim/stack_cube_root.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <string>

namespace lielow {
namespace {

template <class Real>
double worst_error() {
    double worst = 0;
    for (double x = 1e-6; x < 1e6; x *= 1.0007) {
        const auto value = static_cast<Real>(x);
        const double exact = std::cbrt(static_cast<double>(value));
        worst = std::max(worst, std::abs(static_cast<double>(cube_root(value)) / exact - 1));
    }
    return worst / static_cast<double>(std::numeric_limits<Real>::epsilon());
}

TEST(StackCubeRoot, IsRightToTheLastPlaces) {
    EXPECT_LT(worst_error<float>(), 4);
    EXPECT_LT(worst_error<double>(), 200);  // 4e-14
    RecordProperty("double_eps", std::to_string(worst_error<double>()));
}

}  // namespace
}  // namespace lielow
