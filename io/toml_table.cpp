// SPDX-License-Identifier: Apache-2.0
#include "io/toml_table.hpp"

#include <fmt/format.h>

#include "sim/errors.hpp"

namespace lielow {

toml::table parse_toml_table(std::string_view text, const std::string& name) {
    try {
        return toml::parse(text, name);
    } catch (const toml::parse_error& error) {
        throw InputError(
            fmt::format("{}, line {}: {}", name, error.source().begin.line, error.description()));
    }
}

}  // namespace lielow
