// SPDX-License-Identifier: Apache-2.0
#include "tools/report_siting.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <array>
#include <cctype>
#include <cmath>
#include <limits>
#include <nlohmann/json.hpp>
#include <numeric>
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

std::string capital(std::string text) {
    if (!text.empty())
        text.front() = static_cast<char>(std::toupper(static_cast<unsigned char>(text.front())));
    return text;
}

/// The parts between semicolons that stand in no brackets, without the full stop.
std::vector<std::string> clauses_of(std::string_view text) {
    if (text.ends_with('.')) text.remove_suffix(1);
    std::vector<std::string> clauses;
    int depth = 0;
    std::size_t start = 0;
    for (std::size_t n = 0; n <= text.size(); ++n) {
        const char c = n < text.size() ? text[n] : ';';
        depth += c == '(' ? 1 : c == ')' ? -1 : 0;
        if (c != ';' || (depth > 0 && n < text.size())) continue;
        const std::string_view clause = text.substr(start, n - start);
        if (!clause.empty()) clauses.emplace_back(clause);
        start = std::min(n + 2, text.size());
    }
    return clauses;
}

/// A clause, and what stands in brackets at its end.
std::pair<std::string, std::string> split_reasons(const std::string& clause) {
    const auto open = clause.find(" (");
    if (open == std::string::npos || clause.back() != ')') return {clause, {}};
    return {clause.substr(0, open), clause.substr(open + 2, clause.size() - open - 3)};
}

}  // namespace

std::vector<std::size_t> fields_by_rank(const Json& summary) {
    const Json& fields = summary.at("fields");
    std::vector<std::size_t> order(fields.size());
    std::iota(order.begin(), order.end(), std::size_t{0});
    if (siting_part(summary) == nullptr) return order;
    const auto rank = [&](std::size_t f) {
        const double told = number_in(fields[f], "siting_rank");
        return std::isnan(told) ? std::numeric_limits<double>::infinity() : told;
    };
    std::stable_sort(order.begin(), order.end(),
                     [&](std::size_t a, std::size_t b) { return rank(a) < rank(b); });
    return order;
}

std::string siting_lead(const Json& field) {
    const std::vector<std::string> clauses = clauses_of(text_in(field, "siting_verdict"));
    if (clauses.empty()) return {};
    return fmt::format("{}.", capital(split_reasons(clauses.front()).first));
}

std::string siting_rest(const Json& field, PeopleUnits units) {
    constexpr double hardly = 0.005;  // of a field: too little to tell of on a card
    std::vector<std::string> parts;
    for (const auto& [key, name] : {std::pair{"siting_work_m2", "with work"},
                                    {"siting_not_here_m2", "not here"},
                                    {"siting_unknown_m2", "unknown"}}) {
        const double part = number_in(field, key);
        if (part > hardly * number_in(field, "area_m2"))
            parts.push_back(fmt::format("{} {}", people_text(part, PeopleQuantity::area, units), name));
    }
    const std::string reason = text_in(field, "siting_reason");
    if (!parts.empty() && !reason.empty()) parts.push_back(fmt::format("mostly: {}", reason));
    if (const std::string sure = text_in(field, "confidence"); !sure.empty())
        parts.push_back(fmt::format("how sure: {}", sure));
    return fmt::format("{}", fmt::join(parts, " · "));
}

std::string siting_reasons_html(const Json& summary) {
    std::string html;
    for (const std::size_t f : fields_by_rank(summary)) {
        const Json& field = summary.at("fields")[f];
        std::string lines;
        for (const std::string& clause : clauses_of(text_in(field, "siting_verdict"))) {
            const auto [what, reasons] = split_reasons(clause);
            lines += fmt::format("<li>{}", html_text(capital(what)));
            for (const std::string& reason : clauses_of(reasons))
                lines += fmt::format("<small>{}</small>", html_text(reason));
            lines += "</li>";
        }
        if (!lines.empty())
            html += fmt::format("<li><b>{}</b><ul>{}</ul></li>", html_text(text_in(field, "name")), lines);
    }
    return html.empty() ? html
                        : fmt::format(R"(<h3>Why, field by field</h3><ul class="reasons">{}</ul>)", html);
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
    TextTable table;
    table.head = {"field"};
    for (const auto& [key, name] : classes)
        table.head.push_back(fmt::format("{}, {}", name, people_unit(PeopleQuantity::area, units)));
    table.head.emplace_back("what decides most");
    for (const std::size_t f : fields_by_rank(summary)) {
        const Json* field = &summary.at("fields")[f];
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
