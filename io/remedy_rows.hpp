// SPDX-License-Identifier: Apache-2.0
// Private to io/: [remedy.NAME] sections of a site file. Needs toml++.
#pragma once

#include <toml++/toml.h>

#include <filesystem>
#include <vector>

#include "io/remedy.hpp"

namespace lielow {

/// The remedies that `table` names, in the order of the file; files hang from `folder`. Throws InputError
/// without the place in the file: an unknown kind or key, a wrong type, out of range, a key that the kind
/// needs or doesn't know.
std::vector<Remedy> read_remedy_rows(const toml::table& table, const std::filesystem::path& folder);

}  // namespace lielow
