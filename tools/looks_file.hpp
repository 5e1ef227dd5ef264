// SPDX-License-Identifier: Apache-2.0
// tools/looks.toml, which the program carries.
#pragma once

#include <toml++/toml.h>

namespace lielow {

/// Read once. Throws InputError, with the line, when it isn't TOML.
const toml::table& looks_file();

}  // namespace lielow
