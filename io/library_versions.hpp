// SPDX-License-Identifier: Apache-2.0
// Versions of the libraries a result depends on, for the record kept with it.
#pragma once

#include <string>
#include <utility>
#include <vector>

namespace lielow {

/// (name, version) of each.
std::vector<std::pair<std::string, std::string>> library_versions();

}  // namespace lielow
