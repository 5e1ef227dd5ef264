// SPDX-License-Identifier: Apache-2.0
// The farms of a batch on one page that needs nothing beside it.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "tools/batch_tables.hpp"

namespace lielow {

/// HTML with its style, script and pictures inside; links lead to the farms' folders in `out`.
std::string batch_page(const std::vector<TableFarm>& farms, const std::filesystem::path& out);

}  // namespace lielow
