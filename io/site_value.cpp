// SPDX-License-Identifier: Apache-2.0
#include "io/site_value.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "io/number_text.hpp"
#include "sim/errors.hpp"

namespace lielow {
namespace {

std::string_view type_in_words(const toml::node& node) {
    switch (node.type()) {
        case toml::node_type::string:
            return "a text";
        case toml::node_type::integer:
            return "a whole number";
        case toml::node_type::floating_point:
            return "a number";
        case toml::node_type::boolean:
            return "true or false";
        case toml::node_type::date:
            return "a date";
        case toml::node_type::time:
            return "a time of day";
        case toml::node_type::date_time:
            return "a date with a time";
        case toml::node_type::array:
            return "a list";
        default:
            return "a section";
    }
}

std::string_view wanted_in_words(KeyKind kind) {
    switch (kind) {
        case KeyKind::date:
            return "a date";
        case KeyKind::number:
            return "a number";
        case KeyKind::whole_number:
            return "a whole number";
        default:
            return "a text";
    }
}

std::string choices_in_words(const SiteKey& key) {
    std::string all;
    for (const std::string_view choice : key.choices)
        all += fmt::format("{}\"{}\"", all.empty() ? "" : " or ", choice);
    return all;
}

[[noreturn]] void refuse_type(const SiteKey& key, const toml::node& node) {
    const std::string example = key.choices.empty() ? std::string(key.example) : choices_in_words(key);
    throw InputError(fmt::format("{} is {}, must be {} such as {}", key.name, type_in_words(node),
                                 wanted_in_words(key.kind), example));
}

std::string string_of(const SiteKey& key, const toml::node& node) {
    const auto* text = node.as_string();
    if (text == nullptr) refuse_type(key, node);
    if (trim(text->get()).empty())
        throw InputError(fmt::format("{} is empty; write {}", key.name, key.example));
    return text->get();
}

/// Limits are written in the table as people would write them, so a number's limit is read as a number, and
/// so on.
double limit_of(const SiteKey& key, std::string_view limit) {
    if (key.kind == KeyKind::quantity) return parse_quantity(limit, key.dimension);
    return take_number(limit).value();
}

/// "; did you mean 70 mm?" where the number would fit in the unit it is most often mistaken for.
std::string other_unit(const SiteKey& key, std::string_view text, double low, double high) {
    constexpr std::array<std::array<std::string_view, 2>, 9> mistaken{{{"in", "mm"},
                                                                       {"ft", "m"},
                                                                       {"mm", "in"},
                                                                       {"cm", "in"},
                                                                       {"m", "ft"},
                                                                       {"degF", "degC"},
                                                                       {"degC", "degF"},
                                                                       {"mph", "m/s"},
                                                                       {"m/s", "mph"}}};
    std::string_view unit = text;
    if (key.kind != KeyKind::quantity || !take_number(unit)) return {};
    const std::string_view number = text.substr(0, text.size() - unit.size());
    for (const auto& [given, meant] : mistaken) {
        if (trim(unit) != given) continue;
        const std::string other = fmt::format("{} {}", trim(number), meant);
        const double value = parse_quantity(other, key.dimension);
        if (value > low && value <= high) return fmt::format("; did you mean {}?", other);
    }
    return {};
}

void check_range(const SiteKey& key, const SiteValue& value) {
    if (key.low.empty()) return;
    const double low = limit_of(key, key.low);
    const double high = limit_of(key, key.high);
    // The same limit in another unit ("122 degF" for 50 degC) may come out a rounding beyond it.
    const double slack = 1e-9 * std::max(std::abs(low), std::abs(high));
    if (value.number >= low - slack && value.number <= high + slack) return;
    throw InputError(fmt::format("{} = {} is out of range; it must lie from {} to {}{}", key.name, value.text,
                                 key.low, key.high, other_unit(key, value.text, low, high)));
}

SiteValue read_quantity(const SiteKey& key, const toml::node& node) {
    if (node.is_number())
        throw InputError(fmt::format("{} = {} has no unit; write {}", key.name, node.value<double>().value(),
                                     key.example));
    SiteValue value;
    value.text = string_of(key, node);
    try {
        value.number = parse_quantity(value.text, key.dimension);
    } catch (const InputError& error) {
        throw InputError(fmt::format("{}: {}", key.name, error.what()));
    }
    check_range(key, value);
    return value;
}

SiteValue read_number(const SiteKey& key, const toml::node& node) {
    const bool whole = key.kind == KeyKind::whole_number;
    if (!node.is_number() || (whole && !node.is_integer())) refuse_type(key, node);
    SiteValue value;
    value.number = node.value<double>().value();
    value.text = fmt::format("{}", value.number);
    check_range(key, value);
    return value;
}

SiteValue read_date(const SiteKey& key, const toml::node& node) {
    const auto* date = node.as_date();
    if (date == nullptr) refuse_type(key, node);
    const toml::date given = date->get();
    SiteValue value;
    value.date =
        std::chrono::year(given.year) / std::chrono::month(given.month) / std::chrono::day(given.day);
    value.text = fmt::format("{:04}-{:02}-{:02}", given.year, given.month, given.day);
    // Dates written year first sort as texts.
    if (value.text < key.low || value.text > key.high)
        throw InputError(fmt::format("{} = {} is out of range; it must lie from {} to {}", key.name,
                                     value.text, key.low, key.high));
    return value;
}

SiteValue read_choice(const SiteKey& key, const toml::node& node) {
    if (!node.is_string()) refuse_type(key, node);
    SiteValue value;
    value.text = node.as_string()->get();
    if (std::find(key.choices.begin(), key.choices.end(), value.text) == key.choices.end())
        throw InputError(
            fmt::format("{} = \"{}\" is not known; write {}", key.name, value.text, choices_in_words(key)));
    return value;
}

}  // namespace

SiteValue read_site_value(const SiteKey& key, const toml::node& node, const std::filesystem::path& folder) {
    switch (key.kind) {
        case KeyKind::quantity:
            return read_quantity(key, node);
        case KeyKind::number:
        case KeyKind::whole_number:
            return read_number(key, node);
        case KeyKind::date:
            return read_date(key, node);
        case KeyKind::choice:
            return read_choice(key, node);
        case KeyKind::path:
        case KeyKind::text:
            break;
    }
    SiteValue value;
    value.text = string_of(key, node);
    value.path = folder / value.text;
    return value;
}

}  // namespace lielow
