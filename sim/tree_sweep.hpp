// SPDX-License-Identifier: Apache-2.0
// Spreading values over the tree of passes.
#pragma once

#include <cstddef>
#include <ranges>
#include <vector>

#include "sim/catchments.hpp"

namespace lielow {

/// Lets every catchment take the best value any catchment can offer it over the tree. `take(mine, theirs,
/// pass)` sets `mine` to what `theirs` offers over `pass` if that is better. Two sweeps are enough: the first
/// brings to each catchment the best from beyond it as seen from the root, the second the best from the
/// root's side.
template <class Value, class Take>
void sweep_tree(const std::vector<Pass>& tree, std::vector<Value>& values, Take take) {
    for (const Pass& pass : std::views::reverse(tree)) {
        take(values[static_cast<std::size_t>(pass.a)], values[static_cast<std::size_t>(pass.b)], pass);
    }
    for (const Pass& pass : tree) {
        take(values[static_cast<std::size_t>(pass.b)], values[static_cast<std::size_t>(pass.a)], pass);
    }
}

}  // namespace lielow
