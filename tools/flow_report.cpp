// SPDX-License-Identifier: Apache-2.0
#include "tools/flow_report.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "sim/compass.hpp"
#include "tools/night_flow.hpp"
#include "tools/text_table.hpp"

namespace lielow {
namespace {

using enum PeopleQuantity;

std::string cold_text(const std::vector<FieldRecord>& fields) {
    std::string text;
    for (const FieldRecord& field : fields) {
        if (!field.cold_comes.empty()) text += fmt::format("  {}: {}.\n", field.name, field.cold_comes);
    }
    return text.empty() ? text : "Where the cold comes from, in the mean of the night:\n" + text + "\n";
}

double figure_of(const SpotRecord& spot, std::string_view name) {
    const auto at = std::find_if(spot.figures.begin(), spot.figures.end(),
                                 [name](const NamedFigure& f) { return f.name == name; });
    return at == spot.figures.end() ? NAN : at->value;
}

std::string flow_text(const SpotRecord& spot, PeopleUnits units) {
    constexpr double hardly_moves = 0.05;  // m/s: 0.1 mph
    const double from = figure_of(spot, "flow_from_at_lowest_deg");
    if (std::isnan(from) || figure_of(spot, "flow_at_lowest_m_s") < hardly_moves) return "calm";
    return fmt::format("{} from {}", people_text(figure_of(spot, "flow_at_lowest_m_s"), speed, units),
                       compass_name(compass_sector(from)));
}

/// "hours_below_32_degf_h" as "hours below\n32 °F".
std::string hours_head(const std::string& name, PeopleUnits units) {
    constexpr std::string_view before = "hours_below_";
    std::string number = name.substr(before.size(), name.find("_deg") - before.size());
    if (number.starts_with("minus_")) number.replace(0, 6, "-");
    std::replace(number.begin(), number.end(), '_', '.');
    return fmt::format("hours below\n{} {}", number, people_unit(temperature, units));
}

std::string spots_table(const std::vector<SpotRecord>& spots, PeopleUnits units) {
    TextTable table;
    table.head = {"spot", fmt::format("lowest,\n{}", people_unit(temperature, units)), "at"};
    std::vector<std::string> hours_names;
    for (const NamedFigure& f : spots.front().figures) {
        if (!f.name.starts_with("hours_below_")) continue;
        hours_names.push_back(f.name);
        table.head.push_back(hours_head(f.name, units));
    }
    table.head.push_back(fmt::format("depth of cold\nair then, {}", people_unit(height, units)));
    table.head.emplace_back("flow then");
    for (const SpotRecord& spot : spots) {
        std::vector<std::string> row{spot.name,
                                     people_number(figure_of(spot, "lowest_c") + 273.15, temperature, units),
                                     spot.words.front().second};
        for (const std::string& name : hours_names)
            row.push_back(people_number(figure_of(spot, name), hours, units));
        row.push_back(people_number(figure_of(spot, "cold_depth_at_lowest_m"), height, units));
        row.push_back(flow_text(spot, units));
        table.rows.push_back(std::move(row));
    }
    return to_text(table);
}

}  // namespace

std::string flow_report(const Summary& summary, PeopleUnits units) {
    std::string text = cold_text(summary.fields);
    if (!summary.spots.empty())
        text += "Named spots; the whole night, every 15 minutes, stands in spots.csv.\n\n" +
                spots_table(summary.spots, units) + "\n";
    return text;
}

}  // namespace lielow
