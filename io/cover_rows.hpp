// SPDX-License-Identifier: Apache-2.0
// Private to io/: [cover.NAME] sections of a site file. Needs toml++.
#pragma once

#include <toml++/toml.h>

#include <vector>

#include "sim/land_cover.hpp"

namespace lielow {

/// Changes the classes that `table` names and adds those it doesn't know. Throws InputError without the place
/// in the file: an unknown key, a wrong type, out of range, two classes with one code, a canopy without a
/// height.
void read_cover_rows(const toml::table& table, std::vector<CoverClass>& classes);

}  // namespace lielow
