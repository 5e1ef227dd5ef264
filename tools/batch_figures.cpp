// SPDX-License-Identifier: Apache-2.0
#include "tools/batch_figures.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cctype>
#include <cmath>
#include <fstream>
#include <limits>
#include <nlohmann/json.hpp>

#include "sim/errors.hpp"

namespace lielow {
namespace {

using Json = nlohmann::ordered_json;
constexpr double unknown = std::numeric_limits<double>::quiet_NaN();
constexpr double celsius_zero_k = 273.15;

double number(const Json& json) {
    return json.is_number() ? json.get<double>() : unknown;
}

/// As the columns of sites.gpkg: "_degc", "_m", nothing for a pure number.
std::string unit_suffix(std::string unit) {
    std::replace(unit.begin(), unit.end(), '/', '_');
    for (char& c : unit) c = static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
    return unit.empty() || unit == "1" ? std::string() : "_" + unit;
}

void add_raster(const std::string& name, const Json& raster, std::vector<FarmFigure>& figures) {
    const std::string unit = raster.at("unit");
    for (const char* which : {"least", "median", "greatest"}) {
        figures.push_back({fmt::format("{}_{}{}", name, which, unit_suffix(unit)),
                           fmt::format("{} of the map {} in the field{}{}", which, name,
                                       unit.empty() || unit == "1" ? "" : ", ", unit),
                           number(raster.at(which))});
    }
}

FieldFacts read_field(const Json& json) {
    FieldFacts field;
    field.name = json.at("name");
    field.area_m2 = number(json.at("area_m2"));
    field.verdict = json.value("siting_verdict", "");
    for (const auto& [name, value] : json.items()) {
        if (name != "area_m2" && (value.is_number() || value.is_null()))
            field.figures.push_back({name, "As in the farm's own sites.gpkg", number(value)});
    }
    for (const auto& [name, raster] : json.at("rasters").items()) add_raster(name, raster, field.figures);
    return field;
}

/// How the fields' figures make one of the farm: areas and volumes add up, extremes stay extremes; for any
/// other the farm has none.
struct Gathered {
    const char* words = nullptr;
    double (*join)(double, double) = nullptr;
};

Gathered gathered_by(const std::string& name) {
    const auto sum = [](double a, double b) { return a + b; };
    const auto least = [](double a, double b) { return std::fmin(a, b); };
    const auto greatest = [](double a, double b) { return std::fmax(a, b); };
    if (name.find("_least") != std::string::npos) return {"Least over the fields", least};
    if (name.find("_greatest") != std::string::npos) return {"Greatest over the fields", greatest};
    if (name.ends_with("_median") || name.find("_median_") != std::string::npos ||
        name.starts_with("upslope"))
        return {};
    const bool adds = name.ends_with("_m2") || name.ends_with("_m3");
    if (adds && !name.starts_with("largest")) return {"Sum over the fields", sum};
    return {};
}

FarmFigure* find(std::vector<FarmFigure>& figures, const std::string& name) {
    const auto found = std::find_if(figures.begin(), figures.end(),
                                    [&](const FarmFigure& figure) { return figure.name == name; });
    return found == figures.end() ? nullptr : &*found;
}

void gather(const std::vector<FieldFacts>& fields, std::vector<FarmFigure>& figures) {
    for (const FieldFacts& field : fields) {
        for (const FarmFigure& figure : field.figures) {
            const Gathered by = gathered_by(figure.name);
            if (by.join == nullptr) continue;
            if (FarmFigure* farm = find(figures, figure.name)) {
                farm->value = by.join(farm->value, figure.value);
            } else {
                figures.push_back({figure.name, by.words, figure.value});
            }
        }
    }
}

void add_parts(const Json& parts, std::vector<FarmFigure>& figures) {
    for (const auto& [part, content] : parts.items()) {
        for (const auto& [name, value] : content.items()) {
            if (value.is_number() || value.is_null())
                figures.push_back(
                    {part + "_of_ground_" + name,
                     fmt::format("Of the whole ground: {} of the part {} in summary.json", name, part),
                     number(value)});
        }
    }
}

}  // namespace

double FarmFacts::area_m2() const {
    double area = 0;
    for (const FieldFacts& field : fields) area += field.area_m2;
    return area;
}

double FarmFacts::figure(const std::string& name) const {
    for (const FarmFigure& one : figures) {
        if (one.name == name) return one.value;
    }
    return unknown;
}

std::string FarmFacts::in_short(PeopleUnits in_units) const {
    std::string text;
    for (const FieldFacts& field : fields) {
        if (!field.verdict.empty())
            text += fmt::format("{}{}: {}", text.empty() ? "" : " ", field.name, field.verdict);
    }
    if (!text.empty()) return text;
    const double low = figure("night_low_least_degc");
    if (std::isfinite(low))
        text = fmt::format("Its coldest ground falls to {}.",
                           people_text(low + celsius_zero_k, PeopleQuantity::temperature, in_units));
    const double ponded = figure("storm_ponded_m2");
    const double under = figure("under_water_m2");
    const double wet = std::isfinite(ponded) ? ponded : under;
    if (std::isfinite(wet))
        text += fmt::format(
            "{}{} of {} {}.", text.empty() ? "" : " ", people_number(wet, PeopleQuantity::area, in_units),
            people_text(area_m2(), PeopleQuantity::area, in_units),
            std::isfinite(ponded) ? "are ponded after the storm" : "are under at the stage asked for");
    return text;
}

FarmFacts read_farm_facts(const std::filesystem::path& folder) {
    const std::filesystem::path file = folder / "summary.json";
    std::ifstream stream(file, std::ios::binary);
    try {
        const Json json = Json::parse(stream);
        FarmFacts farm;
        farm.title = json.at("title");
        if (json.at("settings").at("units").at("value") == "si") farm.units = PeopleUnits::si;
        for (const Json& field : json.at("fields")) farm.fields.push_back(read_field(field));
        gather(farm.fields, farm.figures);
        add_parts(json.at("parts"), farm.figures);
        return farm;
    } catch (const Json::exception&) {
        throw RunError(
            fmt::format("{} can't be read; delete its folder and run the farm again", file.string()));
    }
}

}  // namespace lielow
