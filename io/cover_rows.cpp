// SPDX-License-Identifier: Apache-2.0
#include "io/cover_rows.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <array>
#include <map>

#include "io/nearest_name.hpp"
#include "io/quantity.hpp"
#include "sim/errors.hpp"
#include "sim/night_forcing.hpp"

namespace lielow {
namespace {

constexpr std::array<std::string_view, 5> row_keys{"code", "loss", "ground_drag", "height", "canopy_drag"};

double number_in(const std::string& name, const toml::node& node, double low, double high) {
    const auto value = node.is_number() ? node.value<double>() : std::nullopt;
    if (!value) throw InputError(fmt::format("{} must be a number from {:g} to {:g}", name, low, high));
    if (!(*value >= low && *value <= high))
        throw InputError(
            fmt::format("{} = {:g} is out of range; it must lie from {:g} to {:g}", name, *value, low, high));
    return *value;
}

double height_in(const std::string& name, const toml::node& node) {
    constexpr double tallest_m = 100;
    const auto* text = node.as_string();
    if (text == nullptr)
        throw InputError(fmt::format(R"({} must be a length in quotes, such as "13 ft" or "4 m")", name));
    try {
        const double height = parse_quantity(text->get(), Dimension::length);
        if (height >= 0 && height <= tallest_m) return height;
    } catch (const InputError& error) {
        throw InputError(fmt::format("{}: {}", name, error.what()));
    }
    throw InputError(
        fmt::format("{} = {} is out of range; it must lie from 0 m to 100 m", name, text->get()));
}

void set_key(const std::string& row, std::string_view key, const toml::node& node, CoverClass& c) {
    const std::string name = fmt::format("cover.{}.{}", row, key);
    constexpr double greatest_code = 1e9;
    constexpr double greatest_canopy_drag = 10;
    if (key == "code") {
        if (!node.is_integer()) throw InputError(fmt::format("{} must be a whole number from 1 on", name));
        c.code = static_cast<int>(number_in(name, node, 1, greatest_code));
    } else if (key == "loss") {
        c.loss = number_in(name, node, 0, most_loss_factor);
    } else if (key == "ground_drag") {
        c.ground_drag = number_in(name, node, 0, 1);
    } else if (key == "height") {
        c.height_m = height_in(name, node);
    } else if (key == "canopy_drag") {
        c.canopy_drag = number_in(name, node, 0, greatest_canopy_drag);
    } else {
        throw InputError(
            fmt::format("unknown key {}; the nearest known one is {}", name, nearest_name(key, row_keys)));
    }
}

CoverClass& class_named(const std::string& name, std::vector<CoverClass>& classes) {
    const auto found =
        std::find_if(classes.begin(), classes.end(), [&](const CoverClass& c) { return c.name == name; });
    if (found != classes.end()) return *found;
    constexpr std::size_t most_classes = 255;
    if (classes.size() >= most_classes) throw InputError("there are more than 255 classes of land cover");
    CoverClass c;
    c.name = name;
    classes.push_back(c);
    return classes.back();
}

void judge(const std::vector<CoverClass>& classes) {
    std::map<int, std::string> codes;
    for (const CoverClass& c : classes) {
        if (c.canopy_drag > 0 && !(c.height_m > 0))
            throw InputError(
                fmt::format("cover.{0}.canopy_drag needs a height; write height = \"13 ft\" "
                            "under [cover.{0}]",
                            c.name));
        if (c.code && !codes.emplace(*c.code, c.name).second)
            throw InputError(fmt::format("cover.{} and cover.{} both have the code {}; give each its own",
                                         codes[*c.code], c.name, *c.code));
    }
}

}  // namespace

void read_cover_rows(const toml::table& table, std::vector<CoverClass>& classes) {
    for (const auto& [name, node] : table) {
        const std::string row(name.str());
        const toml::table* keys = node.as_table();
        if (keys == nullptr)
            throw InputError(fmt::format("cover.{0} must be a section; write [cover.{0}] and below it {1}",
                                         row, fmt::join(row_keys, ", ")));
        CoverClass& c = class_named(row, classes);
        for (const auto& [key, value] : *keys) set_key(row, key.str(), value, c);
        c.source = "site file";
    }
    judge(classes);
}

}  // namespace lielow
