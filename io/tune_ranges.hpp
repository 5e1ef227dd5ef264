// SPDX-License-Identifier: Apache-2.0
// Private to io/: the section [tune.ranges] of a site file. Needs toml++.
#pragma once

#include <toml++/toml.h>

#include <vector>

#include "io/site.hpp"

namespace lielow {

/// `"night.mixing" = ["0.02 m2/s", "0.1 m2/s"]`, in the order of the keys' table. Throws InputError without
/// the place in the file: an unknown key, one that can't be tuned, what is no pair, a value the key itself
/// wouldn't take, a range upside down, no range at all.
std::vector<TuneRange> read_tune_ranges(const toml::table& table);

}  // namespace lielow
