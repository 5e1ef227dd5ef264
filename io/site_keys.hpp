// SPDX-License-Identifier: Apache-2.0
// The one table of what a site file may say. Reading, judging, defaults, listings and the reference page
// follow from it; a new key is one entry here and one member in io/site.hpp.
#pragma once

#include <chrono>
#include <filesystem>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "io/quantity.hpp"
#include "io/site.hpp"

namespace lielow {

enum class KeyKind : std::uint8_t { text, choice, path, quantity, number, whole_number, date };

/// A value read and judged; which member counts follows from the key's kind.
struct SiteValue {
    std::string text;            ///< text, choice
    std::filesystem::path path;  ///< path
    double number = 0;           ///< quantity (SI), number, whole_number
    std::chrono::year_month_day date{};
};

struct SiteKey {
    std::string_view name;  ///< "night.cloud"
    KeyKind kind = KeyKind::text;
    Dimension dimension = Dimension::length;     ///< of a quantity
    std::vector<std::string_view> choices = {};  ///< of a choice
    std::string_view low =
        {};  ///< least value allowed, as written in a site file without quotes; empty = no limit
    std::string_view high = {};      ///< greatest
    std::string_view example = {};   ///< how to write it, for messages
    std::string_view fallback = {};  ///< the default as written in a site file, quotes included; empty = none
    std::string_view otherwise = {};  ///< what is done when there is neither a value nor a default
    std::string_view meaning = {};
    std::string_view source = {};      ///< of the default
    std::string_view needed_for = {};  ///< "run" (always), "night" ...; empty = may be left out
    void (*set)(Site&, const SiteValue&) = nullptr;
};

/// In the order listings show them.
std::span<const SiteKey> site_keys();

}  // namespace lielow
