// SPDX-License-Identifier: Apache-2.0
// Ways across level ground. Inner part of drain_directions.
#pragma once

#include <array>
#include <cstdint>

#include "sim/drain_directions.hpp"

namespace lielow {

/// Neighbours along a side come before those across a corner, so that ways run straight where they can.
inline constexpr std::array<std::uint8_t, 8> kSidesFirst{1, 3, 4, 6, 0, 2, 5, 7};

/// Gives every cell of `out.to` that is kUnset a way over neighbours of its own level to a cell that has one:
/// towards lower ground and away from higher, as in Barnes, R., Lehman, C., Mulla, D. (2014): An efficient
/// assignment of drainage direction over flat surfaces in raster digital elevation models. Computers &
/// Geosciences 62:128-135, doi 10.1016/j.cageo.2013.01.009. Whole numbers of steps are counted and the
/// heights stay as they are. Level ground without a way out keeps kUnset.
void drain_flats(DrainDirections& out);

}  // namespace lielow
