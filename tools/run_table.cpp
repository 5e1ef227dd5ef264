// SPDX-License-Identifier: Apache-2.0
#include "tools/run_table.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <functional>
#include <limits>
#include <optional>

#include "tools/text_table.hpp"

namespace lielow {
namespace {

using enum PeopleQuantity;

/// A column of the fields' table: shown when the first field has its figure.
struct FieldColumn {
    std::string head;
    PeopleQuantity quantity;
    std::function<std::optional<double>(const FieldRecord&)> value;
};

auto figure(std::string name) {
    return [name = std::move(name)](const FieldRecord& field) -> std::optional<double> {
        for (const NamedFigure& f : field.figures) {
            if (f.name == name) return f.value;
        }
        return std::nullopt;
    };
}

auto raster(std::string name, double RasterFigures::*member) {
    return [name = std::move(name), member](const FieldRecord& field) -> std::optional<double> {
        for (const RasterFigures& r : field.rasters) {
            if (r.raster == name) return r.*member;
        }
        return std::nullopt;
    };
}

/// A new figure for people to read is one line here.
std::vector<FieldColumn> field_columns() {
    return {
        {"area", area, [](const FieldRecord& f) { return std::optional(f.area_m2); }},
        {"under water", area, figure("under_water_m2")},
        {"all under at", height, figure("all_under_stage_m")},
        {"deepest hollow", height, raster("hollow_depth", &RasterFigures::greatest)},
        {"coldest", temperature_difference, raster("night_offset", &RasterFigures::least)},
        {"median", temperature_difference, raster("night_offset", &RasterFigures::median)},
        {"clearly colder", area, figure("colder_by_2_degf_m2")},
    };
}

std::string fields_text(const Summary& summary, PeopleUnits units) {
    TextTable table;
    table.head = {"field"};
    table.rows.resize(summary.fields.size());
    for (std::size_t i = 0; i < summary.fields.size(); ++i) table.rows[i].push_back(summary.fields[i].name);
    for (const FieldColumn& column : field_columns()) {
        if (summary.fields.empty() || !column.value(summary.fields.front())) continue;
        table.head.push_back(fmt::format("{}, {}", column.head, people_unit(column.quantity, units)));
        for (std::size_t i = 0; i < summary.fields.size(); ++i) {
            const double value =
                column.value(summary.fields[i]).value_or(std::numeric_limits<double>::quiet_NaN());
            table.rows[i].push_back(people_number(value, column.quantity, units));
        }
    }
    return to_text(table);
}

std::string water_text(const Summary& summary, PeopleUnits units) {
    const auto part = std::find_if(summary.parts.begin(), summary.parts.end(),
                                   [](const auto& p) { return p.name == "water"; });
    if (part == summary.parts.end()) return {};
    std::string text =
        fmt::format("Water: at a stage of {} above each field's own low point, over connected ground.\n",
                    people_text(part->figures.front().value, height, units));
    if (summary.hollows.empty()) return text + "No closed hollows.\n";
    const HollowRecord& largest = summary.hollows.front();
    return text + fmt::format("Closed hollows: {}; the largest holds {} over {}, {} deep.\n",
                              summary.hollow_count, people_text(largest.volume_m3, volume, units),
                              people_text(largest.area_m2, area, units),
                              people_text(largest.depth_m, height, units));
}

}  // namespace

std::string run_report(const Summary& summary, PeopleUnits units) {
    std::string text =
        fmt::format("{}\n\n{}\n{}", summary.title, fields_text(summary, units), water_text(summary, units));
    for (const std::string& note : summary.notes) text += fmt::format("Note: {}\n", note);
    for (const std::string& caution : summary.cautions) text += fmt::format("Caution: {}\n", caution);
    return text;
}

}  // namespace lielow
