// SPDX-License-Identifier: Apache-2.0
// How deep roots want the ground free of water.
#pragma once

#include "io/site.hpp"

namespace lielow {

/// True when the site file itself says the key.
bool is_given(const Site& site, std::string_view key);

/// drain.root_depth where the site file says it; else the crop's "free depth" in the table of needs
/// (io/crop_needs.toml, or the person's own); else drain.root_depth's default. m.
double root_depth_m(const Site& site);

}  // namespace lielow
