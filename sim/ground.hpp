// SPDX-License-Identifier: Apache-2.0
// The ground as the physics sees it.
#pragma once

#include <cstdint>

#include "sim/grid.hpp"

namespace lielow {

/// Elevation on a grid. `known` is 1 where the DEM itself had a value; results are given only there. `z` is
/// finite where known or bridged (small holes closed so that air and water may cross them, see
/// sim/holes.hpp), NaN elsewhere.
struct Ground {
    Grid grid;
    Field<float> z;             ///< m above the DEM's datum
    Field<std::uint8_t> known;  ///< 1 = the DEM had a value, 0 = it had none
};

}  // namespace lielow
