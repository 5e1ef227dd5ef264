// SPDX-License-Identifier: Apache-2.0
// Numbers of JSON files. Only for .cpp files: the library's header is slow to compile.
#pragma once

#include <fmt/format.h>

#include <charconv>
#include <cmath>
#include <nlohmann/json.hpp>
#include <string>

namespace lielow {

/// Seven digits, null where it isn't known. Rasters are single precision; more digits would only be its
/// rounding spelt out.
inline nlohmann::ordered_json json_number(double value) {
    if (!std::isfinite(value)) return nullptr;
    const std::string text = fmt::format("{:.7g}", value);
    double rounded = 0;
    std::from_chars(text.data(), text.data() + text.size(), rounded);
    return rounded;
}

}  // namespace lielow
