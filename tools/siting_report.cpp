// SPDX-License-Identifier: Apache-2.0
#include "tools/siting_report.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <limits>

#include "tools/text_table.hpp"

namespace lielow {
namespace {

double figure_of(const FieldRecord& field, std::string_view name) {
    const auto at = std::find_if(field.figures.begin(), field.figures.end(),
                                 [name](const NamedFigure& f) { return f.name == name; });
    return at == field.figures.end() ? std::numeric_limits<double>::quiet_NaN() : at->value;
}

std::string words_of(const FieldRecord& field, std::string_view name) {
    const auto at = std::find_if(field.words.begin(), field.words.end(),
                                 [name](const NamedWords& w) { return w.name == name; });
    return at == field.words.end() ? "-" : at->text;
}

std::vector<const FieldRecord*> by_rank(const Summary& summary) {
    std::vector<const FieldRecord*> fields;
    for (const FieldRecord& field : summary.fields) fields.push_back(&field);
    std::stable_sort(fields.begin(), fields.end(), [](const FieldRecord* a, const FieldRecord* b) {
        return figure_of(*a, "siting_rank") < figure_of(*b, "siting_rank");
    });
    return fields;
}

std::string crop_of(const PartRecord& part) {
    const auto at =
        std::find_if(part.words.begin(), part.words.end(), [](const auto& w) { return w.first == "crop"; });
    return at == part.words.end() ? "the crop" : at->second;
}

}  // namespace

std::string siting_report(const Summary& summary, PeopleUnits units) {
    const auto part = std::find_if(summary.parts.begin(), summary.parts.end(),
                                   [](const PartRecord& p) { return p.name == "siting"; });
    if (part == summary.parts.end() || summary.fields.empty()) return {};
    const auto unit = people_unit(PeopleQuantity::area, units);
    TextTable table{{"field", "rank", fmt::format("area,\n{}", unit), fmt::format("plant,\n{}", unit),
                     fmt::format("plant with\nwork, {}", unit), fmt::format("not here,\n{}", unit),
                     fmt::format("unknown,\n{}", unit), "limited most by"},
                    {}};
    std::string sentences;
    for (const FieldRecord* field : by_rank(summary)) {
        std::vector<std::string> row{field->name, fmt::format("{:.0f}", figure_of(*field, "siting_rank")),
                                     people_number(field->area_m2, PeopleQuantity::area, units)};
        for (const char* name :
             {"siting_plant_m2", "siting_work_m2", "siting_not_here_m2", "siting_unknown_m2"})
            row.push_back(people_number(figure_of(*field, name), PeopleQuantity::area, units));
        row.push_back(words_of(*field, "siting_reason"));
        table.rows.push_back(std::move(row));
        sentences += fmt::format("  {}: {}\n", field->name, words_of(*field, "siting_verdict"));
    }
    return fmt::format(
        "Where {} can be planted (maps siting, siting_reason): the worst factor decides, nothing is "
        "weighted. "
        "Fields by the\nshare that can be planted; limits and their sources: lielow check.\n\n{}\n{}\n",
        crop_of(*part), to_text(table), sentences);
}

}  // namespace lielow
