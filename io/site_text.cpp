// SPDX-License-Identifier: Apache-2.0
#include "io/site_text.hpp"

#include <fmt/format.h>

#include <sstream>

#include "io/site_value.hpp"
#include "sim/errors.hpp"

namespace lielow {

std::string site_text_without(const std::filesystem::path& file, std::span<const std::string_view> names) {
    try {
        toml::table table = toml::parse_file(file.string());
        for (const std::string_view name : names) table.erase(name);
        std::ostringstream text;
        text << table;
        return text.str();
    } catch (const toml::parse_error& error) {
        throw InputError(fmt::format("{} can't be read again: {}", file.string(), error.description()));
    }
}

}  // namespace lielow
