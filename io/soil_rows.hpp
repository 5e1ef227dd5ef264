// SPDX-License-Identifier: Apache-2.0
// Private to io/: the sections [soil.columns], [soil.words] and [soil.maps] of a site file. Needs toml++.
#pragma once

#include <toml++/toml.h>

#include <filesystem>
#include <string_view>

#include "io/site.hpp"

namespace lielow {

/// True for the three names.
bool is_soil_rows(std::string_view section);

/// Reads one of them into `soil`; paths of maps hang from `folder`. Throws InputError without the place in
/// the file: an unknown attribute, no text, a number's column without its unit.
void read_soil_rows(std::string_view section, const toml::table& table, const std::filesystem::path& folder,
                    SoilSettings& soil);

}  // namespace lielow
