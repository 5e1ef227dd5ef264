// SPDX-License-Identifier: Apache-2.0
#include "io/number_text.hpp"

#include <charconv>
#include <system_error>

namespace lielow {
namespace {

constexpr std::string_view blanks = " \t\r\n";

/// Word processors and web pages turn the minus into U+2212, which from_chars doesn't know.
constexpr std::string_view typographic_minus = "\u2212";

}  // namespace

std::string_view trim(std::string_view text) {
    const auto first = text.find_first_not_of(blanks);
    if (first == std::string_view::npos) return {};
    return text.substr(first, text.find_last_not_of(blanks) - first + 1);
}

std::optional<double> take_number(std::string_view& text) {
    std::string_view rest = trim(text);
    bool negative = false;
    if (rest.starts_with(typographic_minus)) {
        negative = true;
        rest.remove_prefix(typographic_minus.size());
    } else if (rest.starts_with('+')) {
        rest.remove_prefix(1);
    }
    if (negative && rest.starts_with('-')) return std::nullopt;
    double value = 0;
    const auto [end, error] = std::from_chars(rest.data(), rest.data() + rest.size(), value);
    if (error != std::errc{}) return std::nullopt;
    rest.remove_prefix(static_cast<std::size_t>(end - rest.data()));
    text = rest;
    return negative ? -value : value;
}

}  // namespace lielow
