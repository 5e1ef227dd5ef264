// SPDX-License-Identifier: Apache-2.0
// How deep roots want the ground free of water.
#pragma once

#include "io/site.hpp"

namespace lielow {

/// True when the site file itself says the key.
bool is_given(const Site& site, std::string_view key);

/// drain.root_depth where the site file says it; else the crop's where it is known: berry bushes 0.6 m,
/// the least of theirs in FAO-56 (Allen et al. 1998), table 22, strawberries 0.3 m, the most of theirs
/// (quoted from memory); else drain.root_depth's default. m.
double root_depth_m(const Site& site);

}  // namespace lielow
