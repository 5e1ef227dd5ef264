// SPDX-License-Identifier: Apache-2.0
#include "tools/report_remedies.hpp"

#include <fmt/format.h>

#include <array>
#include <cmath>
#include <fstream>
#include <nlohmann/json.hpp>

#include "tools/report_text.hpp"

namespace lielow {
namespace {

using Json = nlohmann::ordered_json;
namespace fs = std::filesystem;
using enum PeopleQuantity;

struct Told {
    const char* figure;  ///< of a field in comparison.json
    const char* what;
    PeopleQuantity quantity;
    bool celsius = false;
};
constexpr std::array<Told, 6> told{{{"night_low_least_c", "coldest place", temperature, true},
                                    {"flowers_lost_share", "flowers lost that night", share},
                                    {"damaging_springs_share", "springs with damage", share},
                                    {"storm_ponded_m2", "under water after the storm", area},
                                    {"wet_after_2_days_m2", "wet two days after", area},
                                    {"drain_days_greatest", "days until it has drained", hours}}};

/// Nothing where there is no such file, or no JSON in it.
Json json_in(const fs::path& file) {
    std::ifstream stream(file, std::ios::binary);
    Json json = Json::parse(stream, nullptr, false);
    return json.is_discarded() ? Json() : json;
}

double number_in(const Json& json, const char* name) {
    const auto at = json.find(name);
    return at != json.end() && at->is_number() ? at->get<double>() : NAN;
}

void add_rows(const Json& remedy, PeopleUnits units, TextTable& table) {
    for (const Json& field : remedy.value("fields", Json::array())) {
        for (const Told& t : told) {
            const auto figure = field.find(t.figure);
            if (figure == field.end() || !figure->is_object()) continue;
            const double zero = t.celsius ? 273.15 : 0;
            const std::string without =
                people_number(number_in(*figure, "without") + zero, t.quantity, units);
            const std::string with = people_number(number_in(*figure, "with") + zero, t.quantity, units);
            if (without == with) continue;
            const bool days = std::string_view(t.figure) == "drain_days_greatest";
            table.rows.push_back({remedy.value("name", ""), field.value("name", ""), t.what, without, with,
                                  days ? "days" : std::string(people_unit(t.quantity, units))});
        }
    }
}

/// No place told differently: nothing to look at.
bool alike(const ResultGrid& before, const ResultGrid& after, double step_si) {
    for (std::size_t c = 0; c < before.values.size(); ++c) {
        const double apart = std::abs(static_cast<double>(before.values[c] - after.values[c]));
        if (apart >= step_si || std::isnan(before.values[c]) != std::isnan(after.values[c])) return false;
    }
    return true;
}

void add_pairs(const fs::path& folder, const Json& remedy, const std::vector<ReportLayer>& layers,
               std::int32_t every, double cell_x_m, double cell_y_m, Remedies& remedies) {
    if (!remedy.contains("folder") || !remedy["folder"].is_string()) return;
    const auto own = remedy["folder"].get<std::string>();
    for (const char* name : {"night_low", "loss_share", "storm_depth", "drain_days"}) {
        const ReportLayer* layer = find_layer(layers, name);
        if (layer == nullptr) continue;
        const fs::path file = fs::path("rasters") / fmt::format("{}.tif", name);
        const auto before = read_result_grid(folder / "base" / file, every);
        const auto after = read_result_grid(folder / own / file, every);
        if (!before || !after || alike(*before, *after, layer->look.step_si)) continue;
        const auto add = [&](const std::string& key, const ResultGrid& grid) {
            if (!remedies.grids.contains(key))
                remedies.grids[key] = grid_json(grid.values, cell_x_m, cell_y_m, layer->look.step_si, false);
        };
        const std::string left = fmt::format("{} without", name);
        const std::string right = fmt::format("{} with {}", name, own);
        add(left, *before);
        add(right, *after);
        remedies.pairs.push_back(
            {{"remedy", remedy.value("name", own)}, {"layer", name}, {"before", left}, {"after", right}});
    }
}

}  // namespace

Remedies read_remedies(const fs::path& folder, const Json& inputs, const std::vector<ReportLayer>& layers,
                       std::int32_t every, double cell_x_m, double cell_y_m, PeopleUnits units) {
    Remedies remedies;
    remedies.pairs = Json::array();
    remedies.grids = Json::object();
    const Json comparison = json_in(folder / "comparison.json");
    if (!comparison.is_object() || !comparison.contains("remedies")) return remedies;
    remedies.there = true;
    const Json base = json_in(folder / "base" / "summary.json");
    remedies.of_this_site = base.is_object() && base.value("inputs", Json()) == inputs;
    if (!remedies.of_this_site) return remedies;
    TextTable table;
    table.head = {"remedy", "field", "what", "without", "with", "unit"};
    for (const Json& remedy : comparison["remedies"]) {
        add_rows(remedy, units, table);
        add_pairs(folder, remedy, layers, every, cell_x_m, cell_y_m, remedies);
    }
    remedies.table = html_table("What each remedy would change", table, true);
    return remedies;
}

}  // namespace lielow
