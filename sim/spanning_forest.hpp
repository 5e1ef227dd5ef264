// SPDX-License-Identifier: Apache-2.0
// Minimum spanning forest of catchments. Inner part of find_catchments.
#pragma once

#include <cstdint>
#include <vector>

#include "sim/catchments.hpp"

namespace lielow {

/// A possible pass. `height` orders as the elevation does (see height_key); `id` is the caller's.
struct Candidate {
    std::int32_t a = 0;
    std::int32_t b = 0;
    std::uint32_t height = 0;
    std::uint32_t id = 0;
};

/// An unsigned number that orders as `height` does; -0 and 0 are equal.
std::uint32_t height_key(float height);

/// The candidates that make up the minimum spanning forest over `count` catchments, as a flag for each id (of
/// which there are `ids`). Equal heights are taken in the order of the list. Borůvka's method: every round
/// joins each group of catchments over its lowest candidate, and the work stays near its place on the ground.
std::vector<std::uint8_t> spanning_forest(std::size_t count, std::size_t ids,
                                          std::vector<Candidate> candidates);

/// Orders the forest from its roots (the lowest catchment number of each tree) outward, depth first, with `a`
/// nearer the root.
std::vector<Pass> rooted(std::size_t count, const std::vector<Pass>& forest);

}  // namespace lielow
