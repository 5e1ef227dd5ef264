// SPDX-License-Identifier: Apache-2.0
#include "tools/report_siting.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <limits>
#include <nlohmann/json.hpp>
#include <string_view>
#include <utility>

#include "tools/html_text.hpp"
#include "tools/report_still.hpp"
#include "tools/report_text.hpp"

namespace lielow {
namespace {

using Json = nlohmann::ordered_json;

double number_in(const Json& json, const char* name) {
    const auto at = json.find(name);
    return at != json.end() && at->is_number() ? at->get<double>() : std::numeric_limits<double>::quiet_NaN();
}

std::string text_in(const Json& json, const char* name) {
    const auto at = json.find(name);
    return at != json.end() && at->is_string() ? at->get<std::string>() : std::string();
}

const Json* siting_part(const Json& summary) {
    const auto at = summary.at("parts").find("siting");
    return at == summary.at("parts").end() ? nullptr : &*at;
}

}  // namespace

std::string siting_sentence(const Json& field) {
    std::string text = text_in(field, "siting_verdict");
    if (!text.empty())
        text.front() = static_cast<char>(std::toupper(static_cast<unsigned char>(text.front())));
    return text;
}

std::string siting_words_html(const Json& summary) {
    const Json* part = siting_part(summary);
    if (part == nullptr) return {};
    return fmt::format(
        "<p>Each thing that {} asks of the ground is judged alone; the worst of them decides. “With work” "
        "means: it can be made to fit, by what the sentence of the field names.</p>",
        html_text(text_in(*part, "crop")));
}

std::string siting_table_html(const Json& summary, PeopleUnits units) {
    if (siting_part(summary) == nullptr) return {};
    constexpr std::array<std::pair<const char*, const char*>, 4> classes{{{"siting_plant_m2", "plant"},
                                                                          {"siting_work_m2", "with work"},
                                                                          {"siting_not_here_m2", "not here"},
                                                                          {"siting_unknown_m2", "unknown"}}};
    std::vector<const Json*> order;
    for (const Json& field : summary.at("fields")) order.push_back(&field);
    std::stable_sort(order.begin(), order.end(), [](const Json* a, const Json* b) {
        return number_in(*a, "siting_rank") < number_in(*b, "siting_rank");
    });
    TextTable table;
    table.head = {"field"};
    for (const auto& [key, name] : classes)
        table.head.push_back(fmt::format("{}, {}", name, people_unit(PeopleQuantity::area, units)));
    table.head.emplace_back("what decides most");
    for (const Json* field : order) {
        std::vector<std::string> row{text_in(*field, "name")};
        for (const auto& [key, name] : classes)
            row.push_back(people_number(number_in(*field, key), PeopleQuantity::area, units));
        row.push_back(text_in(*field, "siting_reason"));
        table.rows.push_back(std::move(row));
    }
    return html_table("The fields, best first", table);
}

std::string siting_asks_html(const Json& summary) {
    const Json* part = siting_part(summary);
    if (part == nullptr) return {};
    constexpr std::string_view stem = "asks: ";
    TextTable table;
    table.head = {"of", "it asks"};
    for (const auto& [key, value] : part->items()) {
        if (key.starts_with(stem) && value.is_string())
            table.rows.push_back({key.substr(stem.size()), value.get<std::string>()});
    }
    return html_table("What the crop asks", table, true);
}

}  // namespace lielow
