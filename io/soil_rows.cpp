// SPDX-License-Identifier: Apache-2.0
#include "io/soil_rows.hpp"

#include <fmt/format.h>

#include "io/nearest_name.hpp"
#include "sim/errors.hpp"

namespace lielow {
namespace {

const SoilAttributeWords& attribute_named(std::string_view section, std::string_view key) {
    if (const SoilAttributeWords* found = soil_attribute(key)) return *found;
    std::vector<std::string_view> known;
    for (const SoilAttributeWords& words : soil_attributes()) known.push_back(words.key);
    throw InputError(fmt::format("unknown key {}.{}; the nearest known one is {}", section, key,
                                 nearest_name(key, known)));
}

SoilColumnChoice column_choice(std::string_view section, std::string_view key, const std::string& text) {
    const SoilAttributeWords& words = attribute_named(section, key);
    const auto [name, unit] = name_and_unit(text);
    if (words.dimension && unit.empty()) {
        throw InputError(fmt::format("{}.{} must say its unit; write \"{} [{}]\"", section, key, text,
                                     *words.dimension == Dimension::speed ? "um/s" : "cm"));
    }
    if (words.dimension) {
        try {
            parse_quantity("1 " + unit, *words.dimension);
        } catch (const InputError& error) {
            throw InputError(fmt::format("{}.{}: {}", section, key, error.what()));
        }
    }
    return {std::string(key), name, unit};
}

}  // namespace

bool is_soil_rows(std::string_view section) {
    return section == "soil.columns" || section == "soil.words" || section == "soil.maps";
}

void read_soil_rows(std::string_view section, const toml::table& table, const std::filesystem::path& folder,
                    SoilSettings& soil) {
    for (const auto& [key, node] : table) {
        const auto* value = node.as_string();
        if (value == nullptr)
            throw InputError(fmt::format("{}.{} must be text in quotes", section, key.str()));
        if (section == "soil.words") {
            soil.reading.words.emplace_back(std::string(key.str()), value->get());
        } else if (section == "soil.columns") {
            soil.reading.columns.push_back(column_choice(section, key.str(), value->get()));
        } else {
            attribute_named(section, key.str());
            soil.maps.emplace_back(std::string(key.str()), folder / value->get());
        }
    }
}

}  // namespace lielow
