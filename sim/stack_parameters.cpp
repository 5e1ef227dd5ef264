// SPDX-License-Identifier: Apache-2.0
#include "sim/stack_parameters.hpp"

namespace lielow {

std::vector<double> night_buoyancy(int sheets, double sheet_step_k, double potential_temperature_k) {
    constexpr double gravity = 9.81;
    std::vector<double> b(static_cast<std::size_t>(sheets));
    for (int k = 0; k < sheets; ++k) {
        b[static_cast<std::size_t>(k)] = (k + 1) * sheet_step_k * gravity / potential_temperature_k;
    }
    return b;
}

}  // namespace lielow
