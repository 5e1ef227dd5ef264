// SPDX-License-Identifier: Apache-2.0
#include "io/soil_columns.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <array>
#include <cctype>
#include <cmath>

#include "io/nearest_name.hpp"
#include "io/number_text.hpp"
#include "sim/errors.hpp"
#include "sim/soil_water.hpp"

namespace lielow {
namespace {

constexpr double deepest_m = 50;
constexpr double most_water_m = 0.6;  // in a metre of soil: peat
constexpr double tightest_m_s = 1e-9;
constexpr double loosest_m_s = 0.02;

constexpr std::array<SoilAttributeWords, 11> attributes{
    {{SoilAttribute::drainage_class, "drainage_class", {}, true},
     {SoilAttribute::water_table_year, "water_table_year", Dimension::length, false, 0, deepest_m},
     {SoilAttribute::water_table_spring, "water_table_spring", Dimension::length, false, 0, deepest_m},
     {SoilAttribute::floor_depth, "floor_depth", Dimension::length, false, 0, deepest_m},
     {SoilAttribute::flooding, "flooding", {}, true},
     {SoilAttribute::ponding, "ponding", {}, true},
     {SoilAttribute::hydrologic_group, "hydrologic_group", {}, true},
     {SoilAttribute::ph, "ph", {}, false, 2, 11},
     {SoilAttribute::available_water, "available_water", Dimension::length, false, 0, most_water_m},
     {SoilAttribute::conductivity, "conductivity", Dimension::speed, false, 0, loosest_m_s},
     {SoilAttribute::texture, "texture", {}, true}}};

/// Names of the US open data (National Cooperative Soil Survey: map unit aggregates, components, horizons,
/// restrictions, months; value-added table), the better source first. aws0100wta stands in cm, aws0_100, of
/// another table, in mm; awc_r is a share, taken for the whole top metre.
struct Published {
    SoilAttribute attribute;
    std::string_view column;
    std::string_view unit;
};
constexpr std::array<Published, 21> published{{{SoilAttribute::drainage_class, "drclassdcd", ""},
                                               {SoilAttribute::drainage_class, "drainagecl", ""},
                                               {SoilAttribute::drainage_class, "drclasswettest", ""},
                                               {SoilAttribute::water_table_year, "wtdepannmin", "cm"},
                                               {SoilAttribute::water_table_spring, "wtdepaprjunmin", "cm"},
                                               {SoilAttribute::floor_depth, "resdept_r", "cm"},
                                               {SoilAttribute::floor_depth, "brockdepmin", "cm"},
                                               {SoilAttribute::flooding, "flodfreqdcd", ""},
                                               {SoilAttribute::flooding, "flodfreqcl", ""},
                                               {SoilAttribute::flooding, "flodfreqmax", ""},
                                               {SoilAttribute::ponding, "pondfreqcl", ""},
                                               {SoilAttribute::ponding, "pondfreqprs", ""},
                                               {SoilAttribute::hydrologic_group, "hydgrpdcd", ""},
                                               {SoilAttribute::hydrologic_group, "hydgrp", ""},
                                               {SoilAttribute::ph, "ph1to1h2o_r", ""},
                                               {SoilAttribute::available_water, "aws0100wta", "cm"},
                                               {SoilAttribute::available_water, "aws0_100", "mm"},
                                               {SoilAttribute::available_water, "awc_r", "m"},
                                               {SoilAttribute::conductivity, "ksat_r", "um/s"},
                                               {SoilAttribute::texture, "texcl", ""},
                                               {SoilAttribute::texture, "texture", ""}}};
constexpr std::string_view ponded_share = "pondfreqprs";

std::string lower(std::string_view text) {
    std::string out(text);
    std::transform(out.begin(), out.end(), out.begin(),
                   [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
    return out;
}

bool is_column(std::string_view name, std::string_view wanted) {
    constexpr std::size_t shapefile_letters = 10;
    return lower(name) == wanted || lower(name) == wanted.substr(0, shapefile_letters);
}

bool same_number(double a, double b) {
    return a == b || (std::isnan(a) && std::isnan(b));
}

std::string hint_for(SoilAttribute attribute, double value) {
    if (attribute == SoilAttribute::ph && value >= 20 && value <= 110) return "; is it pH times ten?";
    if (attribute == SoilAttribute::available_water && value > most_water_m)
        return "; in the US open data aws0100wta stands in cm and aws0_100 in mm: say the unit under "
               "[soil.columns], available_water = \"NAME [mm]\"";
    if (attribute == SoilAttribute::conductivity && value > loosest_m_s)
        return "; surveys give it in um/s as a rule";
    const bool depth = attribute == SoilAttribute::floor_depth ||
                       attribute == SoilAttribute::water_table_year ||
                       attribute == SoilAttribute::water_table_spring;
    return depth && value < 0 ? "; depths count downward from the surface, from 0 on" : "";
}

}  // namespace

std::span<const SoilAttributeWords> soil_attributes() {
    return attributes;
}

const SoilAttributeWords* soil_attribute(std::string_view key) {
    const auto* found = std::find_if(attributes.begin(), attributes.end(),
                                     [key](const SoilAttributeWords& words) { return words.key == key; });
    return found == attributes.end() ? nullptr : found;
}

std::pair<std::string, std::string> name_and_unit(std::string_view head) {
    const auto open = head.find('[');
    const auto close = head.find(']');
    std::pair<std::string, std::string> both{std::string(trim(head.substr(0, open))), {}};
    if (open != std::string_view::npos && close != std::string_view::npos && close > open)
        both.second = trim(head.substr(open + 1, close - open - 1));
    return both;
}

bool same_soil(const SoilUnit& a, const SoilUnit& b) {
    return a.drainage == b.drainage && a.flooding == b.flooding && a.ponding == b.ponding &&
           a.group == b.group && same_number(a.table_year_m, b.table_year_m) &&
           same_number(a.table_spring_m, b.table_spring_m) && same_number(a.floor_m, b.floor_m) &&
           same_number(a.ph, b.ph) && same_number(a.available_water_m, b.available_water_m) &&
           same_number(a.conductivity_m_s, b.conductivity_m_s);
}

void judge_soil_number(const SoilAttributeWords& words, double value, std::string_view written,
                       std::string_view unit) {
    if (value >= words.low && value <= words.high) return;
    const std::string range = words.dimension ? fmt::format("{:g} to {:g} {}", words.low, words.high,
                                                            words_for(*words.dimension).si_unit)
                                              : fmt::format("{:g} to {:g}", words.low, words.high);
    throw InputError(fmt::format("{}{}{} can't be; it must lie from {}{}", written, unit.empty() ? "" : " ",
                                 unit, range, hint_for(words.attribute, value)));
}

SoilColumns::SoilColumns(const std::vector<std::string>& names, const SoilReading& reading, std::string file)
    : file_(std::move(file)), names_(names), words_(reading.words) {
    for (const SoilAttributeWords& words : attributes) {
        if (!choose(words, reading)) find_published(words);
    }
    if (sources_.empty()) {
        throw InputError(
            fmt::format("{} has no column that says something of soil ({}); say under "
                        "[soil.columns] which does, such as drainage_class = \"NAME\"",
                        file_, fmt::join(names_, ", ")));
    }
}

bool SoilColumns::choose(const SoilAttributeWords& words, const SoilReading& reading) {
    const auto choice =
        std::find_if(reading.columns.begin(), reading.columns.end(),
                     [&words](const SoilColumnChoice& c) { return c.attribute == words.key; });
    if (choice == reading.columns.end()) return false;
    const auto found = std::find_if(names_.begin(), names_.end(), [&choice](const std::string& name) {
        return lower(name) == lower(choice->column);
    });
    if (found == names_.end()) {
        const std::vector<std::string_view> known(names_.begin(), names_.end());
        throw InputError(
            fmt::format("{} has no column \"{}\" (soil.columns.{}); the nearest it has is \"{}\"", file_,
                        choice->column, words.key, nearest_name(choice->column, known)));
    }
    Source source{&words, static_cast<std::size_t>(found - names_.begin()), *found, choice->unit, 1};
    if (words.dimension) source.factor = parse_quantity("1 " + choice->unit, *words.dimension);
    sources_.push_back(std::move(source));
    return true;
}

void SoilColumns::find_published(const SoilAttributeWords& words) {
    for (const Published& known : published) {
        if (known.attribute != words.attribute) continue;
        const auto found = std::find_if(names_.begin(), names_.end(), [&known](const std::string& n) {
            return is_column(n, known.column);
        });
        if (found == names_.end()) continue;
        Source source{&words, static_cast<std::size_t>(found - names_.begin()), *found,
                      std::string(known.unit), 1};
        if (words.dimension)
            source.factor = parse_quantity(fmt::format("1 {}", known.unit), *words.dimension);
        sources_.push_back(std::move(source));
        if (known.column == ponded_share) {
            notes_.push_back(
                fmt::format("{}: {} is the share of a soil unit in which water stands, not how often: only "
                            "its 0 is read, as no ponding",
                            file_, *found));
        }
        if (known.column == "awc_r")
            notes_.push_back(
                fmt::format("{}: {} of one horizon is taken for the whole top metre", file_, *found));
    }
}

double SoilColumns::number(const Source& source, const std::string& text) const {
    std::string_view rest = text;
    const auto number = take_number(rest);
    if (!number || !trim(rest).empty() || !std::isfinite(*number))
        throw InputError(fmt::format("\"{}\" is not a number", text));
    const double value = *number * source.factor;
    judge_soil_number(*source.words, value, text, source.unit);
    return value;
}

void SoilColumns::put(const Source& source, const std::string& text, SoilUnit& unit,
                      std::string& texture) const {
    const auto first = [](double& member, double value) {
        if (std::isnan(member)) member = value;
    };
    switch (source.words->attribute) {
        case SoilAttribute::drainage_class:
            if (unit.drainage == DrainageClass::unknown) unit.drainage = read_drainage_class(text, words_);
            return;
        case SoilAttribute::flooding:
            if (unit.flooding == WaterFrequency::unknown) unit.flooding = read_water_frequency(text, words_);
            return;
        case SoilAttribute::ponding:
            if (unit.ponding != WaterFrequency::unknown) return;
            if (is_column(source.name, ponded_share)) {
                if (text == "0") unit.ponding = WaterFrequency::none;
            } else {
                unit.ponding = read_water_frequency(text, words_);
            }
            return;
        case SoilAttribute::hydrologic_group:
            if (unit.group == HydrologicGroup::unknown) unit.group = read_hydrologic_group(text, words_);
            return;
        case SoilAttribute::texture:
            if (texture.empty()) texture = read_texture(text, words_);
            return;
        // The shallower of rock and of whatever else holds up roots and water.
        case SoilAttribute::floor_depth:
            unit.floor_m = std::fmin(unit.floor_m, number(source, text));
            return;
        case SoilAttribute::water_table_year:
            return first(unit.table_year_m, number(source, text));
        case SoilAttribute::water_table_spring:
            return first(unit.table_spring_m, number(source, text));
        case SoilAttribute::ph:
            return first(unit.ph, number(source, text));
        case SoilAttribute::available_water:
            return first(unit.available_water_m, number(source, text));
        // Rock is listed with 0; the least that a soil can have stands for it.
        case SoilAttribute::conductivity:
            return first(unit.conductivity_m_s, std::max(tightest_m_s, number(source, text)));
    }
}

SoilUnit SoilColumns::read(const std::function<std::string(std::size_t)>& text_at,
                           const std::string& where) const {
    SoilUnit unit;
    std::string texture;
    for (const Source& source : sources_) {
        const std::string text(trim(text_at(source.column)));
        if (text.empty() || lower(text) == "null") continue;
        try {
            put(source, text, unit, texture);
        } catch (const InputError& error) {
            throw InputError(fmt::format("{}: {}: {}", where, source.name, error.what()));
        }
    }
    if (const TextureWater* found = texture_water(texture)) {
        if (std::isnan(unit.available_water_m))
            unit.available_water_m = found->middle() * std::fmin(1.0, unit.floor_m);
        if (std::isnan(unit.conductivity_m_s)) unit.conductivity_m_s = found->conductivity_m_s;
    }
    return unit;
}

}  // namespace lielow
