// SPDX-License-Identifier: Apache-2.0
#include "io/tune_ranges.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "io/nearest_name.hpp"
#include "io/number_text.hpp"
#include "io/site_value.hpp"
#include "sim/errors.hpp"

namespace lielow {
namespace {

/// Numbers of the night that change its physics, not the cells it is solved on or how it is read.
bool can_be_tuned(const SiteKey& key) {
    constexpr std::array<std::string_view, 5> not_physics{
        "night.cell", "night.utc_offset", "night.plant_height", "night.flow_height", "night.wind_direction"};
    return key.name.starts_with("night.") && (key.kind == KeyKind::quantity || key.kind == KeyKind::number) &&
           std::find(not_physics.begin(), not_physics.end(), key.name) == not_physics.end();
}

std::vector<std::string_view> names_to_tune() {
    std::vector<std::string_view> names;
    for (const SiteKey& key : site_keys()) {
        if (can_be_tuned(key)) names.push_back(key.name);
    }
    return names;
}

TuneRange range_of(std::size_t at, const toml::node& node) {
    const SiteKey& key = site_keys()[at];
    const toml::array* pair = node.as_array();
    if (pair == nullptr || pair->size() != 2) {
        const std::string_view one = key.example.substr(0, key.example.find(" or "));
        throw InputError(fmt::format(
            "tune.ranges: {} must be a pair, its least and its greatest value, each written as {}", key.name,
            one));
    }
    TuneRange range;
    range.key = at;
    try {
        const SiteValue low = read_site_value(key, *pair->get(0), {});
        const SiteValue high = read_site_value(key, *pair->get(1), {});
        range.low = low.number;
        range.high = high.number;
        range.text = fmt::format("{} to {}", low.text, high.text);
        std::string_view unit = low.text;
        if (key.kind == KeyKind::quantity && take_number(unit)) range.unit = trim(unit);
    } catch (const InputError& error) {
        throw InputError(fmt::format("tune.ranges: {}", error.what()));
    }
    if (!(range.low < range.high))
        throw InputError(fmt::format(
            "tune.ranges: {} from {} is upside down or empty; write the lesser first", key.name, range.text));
    return range;
}

void read_level(const toml::table& table, const std::string& prefix, std::vector<TuneRange>& ranges) {
    const auto names = names_to_tune();
    for (const auto& [key, node] : table) {
        const std::string name = prefix + std::string(key.str());
        if (node.is_table()) {  // night.mixing without quotes
            read_level(*node.as_table(), name + ".", ranges);
            continue;
        }
        if (std::find(names.begin(), names.end(), name) == names.end())
            throw InputError(fmt::format("tune.ranges: {} can't be tuned; the nearest key that can is {}",
                                         name, nearest_name(name, names)));
        const auto keys = site_keys();
        const auto at =
            std::find_if(keys.begin(), keys.end(), [&](const SiteKey& k) { return k.name == name; });
        ranges.push_back(range_of(static_cast<std::size_t>(at - keys.begin()), node));
    }
}

}  // namespace

std::vector<TuneRange> read_tune_ranges(const toml::table& table) {
    std::vector<TuneRange> ranges;
    read_level(table, "", ranges);
    if (ranges.empty())
        throw InputError(
            R"(tune.ranges is empty; write such as "night.mixing" = ["0.02 m2/s", "0.1 m2/s"] below it)");
    std::sort(ranges.begin(), ranges.end(), [](const auto& a, const auto& b) { return a.key < b.key; });
    for (std::size_t i = 1; i < ranges.size(); ++i) {
        if (ranges[i].key == ranges[i - 1].key)
            throw InputError(
                fmt::format("tune.ranges: {} stands there twice", site_keys()[ranges[i].key].name));
    }
    return ranges;
}

}  // namespace lielow
