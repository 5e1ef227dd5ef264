// SPDX-License-Identifier: Apache-2.0
#include "tools/looks_file.hpp"

#include <string_view>

#include "io/toml_table.hpp"
#include "looks_text.inc"

namespace lielow {

const toml::table& looks_file() {
    static const toml::table table = parse_toml_table(looks_text, "looks.toml");
    return table;
}

}  // namespace lielow
