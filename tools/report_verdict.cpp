// SPDX-License-Identifier: Apache-2.0
#include "tools/report_verdict.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>
#include <optional>
#include <vector>

namespace lielow {
namespace {

using enum PeopleQuantity;

constexpr double kelvin_zero_c = 273.15;
constexpr double hardly = 0.002;  // of a field: too little to tell of

std::optional<double> figure(const FieldRecord& field, std::string_view name) {
    for (const NamedFigure& f : field.figures) {
        if (f.name == name && std::isfinite(f.value)) return f.value;
    }
    return std::nullopt;
}

const RasterFigures* raster(const FieldRecord& field, std::string_view name) {
    const auto at = std::find_if(field.rasters.begin(), field.rasters.end(),
                                 [&](const RasterFigures& r) { return r.raster == name; });
    return at == field.rasters.end() || !std::isfinite(at->least) ? nullptr : &*at;
}

std::string cold_words(const FieldRecord& field, PeopleUnits units) {
    const RasterFigures* low = raster(field, "night_low");
    if (low == nullptr) return {};
    std::string text = fmt::format("that night its coldest spot falls to {}",
                                   people_text(low->least + kelvin_zero_c, temperature, units));
    if (const auto colder = figure(field, "colder_by_2_degf_m2")) {
        const double share_colder = field.area_m2 > 0 ? *colder / field.area_m2 : 0;
        if (share_colder < 0.01) {
            text += ", and no part of it is clearly colder than the reference spot";
        } else {
            text += fmt::format(", and {} of it {} clearly colder than the reference spot",
                                share_colder > 0.99 ? "all" : people_text(*colder, area, units),
                                share_colder > 0.99 ? "is" : "are");
        }
    }
    return text;
}

std::string springs_words(const FieldRecord& field, PeopleUnits units) {
    if (const auto springs = figure(field, "damaging_springs_share")) {
        const auto low = figure(field, "damaging_springs_low_share");
        const auto high = figure(field, "damaging_springs_high_share");
        std::string text = fmt::format("frost does damage in about {} of 100 springs",
                                       people_number(*springs, share, units));
        if (low && high)
            text += fmt::format(" ({} to {})", people_number(*low, share, units),
                                people_number(*high, share, units));
        return text;
    }
    if (const auto lost = figure(field, "flowers_lost_share"))
        return fmt::format("{} of the flowers are lost that night", people_text(*lost, share, units));
    return {};
}

std::string water_words(const FieldRecord& field, PeopleUnits units) {
    std::string text;
    if (const auto ponded = figure(field, "storm_ponded_m2"))
        text = *ponded < hardly * field.area_m2
                   ? "the storm leaves next to no standing water"
                   : fmt::format("the storm leaves {} under water", people_text(*ponded, area, units));
    if (const auto wet = figure(field, "wet_after_2_days_m2")) {
        text += text.empty() ? "" : ", and ";
        text += *wet < hardly * field.area_m2
                    ? "next to nothing is still wet two days after"
                    : fmt::format("{} are still wet two days after", people_text(*wet, area, units));
    }
    return text;
}

}  // namespace

std::string field_verdict(const FieldRecord& field, PeopleUnits units) {
    std::vector<std::string> clauses;
    for (std::string text :
         {cold_words(field, units), springs_words(field, units), water_words(field, units)}) {
        if (!text.empty()) clauses.push_back(std::move(text));
    }
    if (clauses.empty()) return "Nothing was computed of it.";
    std::string sentence = fmt::format("{}.", fmt::join(clauses, "; "));
    sentence.front() = static_cast<char>(std::toupper(static_cast<unsigned char>(sentence.front())));
    return sentence;
}

}  // namespace lielow
