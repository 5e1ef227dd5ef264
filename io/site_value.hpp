// SPDX-License-Identifier: Apache-2.0
// One TOML value, judged against the key it is given for. For io/site.cpp; needs toml++.
#pragma once

#include <toml++/toml.h>

#include "io/site_keys.hpp"

namespace lielow {

/// Reads and judges a value; `text` becomes what the person wrote, without quotes. Relative paths hang from
/// `folder`. Throws InputError without the place in the file: wrong type, no unit, unknown unit, out of
/// range, not a choice.
SiteValue read_site_value(const SiteKey& key, const toml::node& node, const std::filesystem::path& folder);

}  // namespace lielow
