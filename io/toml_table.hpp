// SPDX-License-Identifier: Apache-2.0
// Tables of crops and the like, as TOML.
#pragma once

#include <toml++/toml.h>

#include <string>
#include <string_view>

namespace lielow {

/// Throws InputError, with the line, for what isn't TOML; `name` stands for the text in messages.
toml::table parse_toml_table(std::string_view text, const std::string& name);

}  // namespace lielow
