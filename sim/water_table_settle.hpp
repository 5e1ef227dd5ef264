// SPDX-License-Identifier: Apache-2.0
// Private to the water table: the level that steady rain holds up.
#pragma once

#include <vector>

#include "sim/water_table_newton.hpp"

namespace lielow {

/// See WaterTable::settle. `s` holds the thickness to set out from, then the answer.
WaterTableSettled settle_thickness(const WaterTableCells& cells, WaterTableNewton& newton,
                                   double recharge_m_s, std::vector<double>& s);

}  // namespace lielow
