// SPDX-License-Identifier: Apache-2.0
#include "tools/compare_report.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <limits>
#include <nlohmann/json.hpp>

#include "tools/text_table.hpp"
#include "tools/version.hpp"

namespace lielow {
namespace {

using Json = nlohmann::ordered_json;
using Value = std::optional<double>;

constexpr double not_known = std::numeric_limits<double>::quiet_NaN();

/// A temperature's change has no zero point.
PeopleQuantity change_quantity(PeopleQuantity quantity) {
    return quantity == PeopleQuantity::temperature ? PeopleQuantity::temperature_difference : quantity;
}

Value change_of(const Value& with, const Value& without) {
    if (!with || !without) return std::nullopt;
    return *with - *without;
}

/// "+0.4", "-1.2"; "0" where it rounds to nought; "-" where it isn't known.
std::string signed_number(const Value& change, PeopleQuantity quantity, PeopleUnits units) {
    std::string text = people_number(change.value_or(not_known), change_quantity(quantity), units);
    if (text.find_first_of("123456789") == std::string::npos) return text == "-" ? text : "0";
    return text.front() == '-' ? text : "+" + text;
}

/// "1", "2" ... and "all" for the last where it is every remedy at once.
std::string column_name(const Comparison& comparison, std::size_t variant) {
    if (comparison.variants[variant].folder == "together") return "all";
    return fmt::format("{}", variant);
}

std::string legend(const Comparison& comparison) {
    std::string text;
    for (std::size_t v = 1; v < comparison.variants.size(); ++v) {
        const VariantResult& variant = comparison.variants[v];
        text += fmt::format("{:>4}  {}: {}\n      can change: {}\n", column_name(comparison, v), variant.name,
                            variant.text,
                            variant.parts.empty() ? "the field's figures alone, nothing is computed anew"
                                                  : fmt::format("{}", fmt::join(variant.parts, ", ")));
    }
    return text;
}

enum class Shown : std::uint8_t { no, as_nought, table };

/// Not where no variant computed it anew; as nought where every change rounds to that.
Shown how_shown(const Comparison& comparison, std::size_t measure, PeopleUnits units) {
    const VariantResult& base = comparison.variants.front();
    Shown shown = Shown::no;
    for (const VariantResult& variant : comparison.variants) {
        for (std::size_t f = 0; f < base.fields.size(); ++f) {
            const Value& with = variant.fields[f][measure];
            const Value& without = base.fields[f][measure];
            if (with == without) continue;
            const std::string text =
                signed_number(change_of(with, without), field_measures()[measure].quantity, units);
            if (text != "0") return Shown::table;
            shown = Shown::as_nought;
        }
    }
    return shown;
}

std::string field_table(const Comparison& comparison, std::size_t measure, PeopleUnits units) {
    const FieldMeasure& what = field_measures()[measure];
    TextTable table{{"field", "without"}, {}};
    for (std::size_t v = 1; v < comparison.variants.size(); ++v)
        table.head.push_back(column_name(comparison, v));
    for (std::size_t f = 0; f < comparison.fields.size(); ++f) {
        const Value without = comparison.variants.front().fields[f][measure];
        std::vector<std::string> row{comparison.fields[f],
                                     people_number(without.value_or(not_known), what.quantity, units)};
        for (std::size_t v = 1; v < comparison.variants.size(); ++v)
            row.push_back(signed_number(change_of(comparison.variants[v].fields[f][measure], without),
                                        what.quantity, units));
        table.rows.push_back(std::move(row));
    }
    std::string heading(what.heading);
    heading.front() = static_cast<char>(std::toupper(static_cast<unsigned char>(heading.front())));
    return fmt::format("{}, {}\n{}\n", heading, people_unit(what.quantity, units), to_text(table));
}

std::string ground_table(const Comparison& comparison, PeopleUnits units) {
    const auto measures = ground_measures();
    TextTable table{{"sent on", "unit", "without"}, {}};
    for (std::size_t v = 1; v < comparison.variants.size(); ++v)
        table.head.push_back(column_name(comparison, v));
    for (std::size_t m = 0; m < measures.size(); ++m) {
        const GroundMeasure& what = measures[m];
        const Value without = comparison.variants.front().sent.values[m];
        std::vector<std::string> row{std::string(what.heading),
                                     std::string(people_unit(what.quantity, units)),
                                     people_number(without.value_or(not_known), what.quantity, units)};
        bool known = false;
        for (std::size_t v = 1; v < comparison.variants.size(); ++v) {
            const Value value = comparison.variants[v].sent.values[m];
            known = known || value;
            row.push_back(what.is_change ? people_number(value.value_or(not_known), what.quantity, units)
                                         : signed_number(change_of(value, without), what.quantity, units));
        }
        if (known) table.rows.push_back(std::move(row));
    }
    return table.rows.empty() ? std::string() : to_text(table);
}

std::string places(const Comparison& comparison) {
    std::string text;
    for (std::size_t v = 1; v < comparison.variants.size(); ++v) {
        const SentOn& sent = comparison.variants[v].sent;
        const std::string name = column_name(comparison, v);
        if (!sent.coldest_at.empty())
            text += fmt::format("{}: most colder outside the fields at {}.\n", name, sent.coldest_at);
        if (!sent.deepest_at.empty())
            text +=
                fmt::format("{}: greatest rise of water outside the fields at {}.\n", name, sent.deepest_at);
        if (!sent.leaves_at.empty())
            text += fmt::format("{}: most water newly leaves the ground near {}.\n", name, sent.leaves_at);
    }
    return text;
}

std::string quoted(const std::string& text) {
    std::string out = "\"";
    for (const char c : text) out.append(c == '"' ? 2 : 1, c);
    return out + "\"";
}

std::string csv_number(const Value& value, PeopleQuantity quantity, PeopleUnits units) {
    return value ? fmt::format("{:.6g}", to_people(*value, quantity, units)) : std::string();
}

std::string csv_line(const VariantResult& variant, const std::string& field, std::string_view heading,
                     PeopleQuantity quantity, const Value& without, const Value& with, PeopleUnits units) {
    return fmt::format("{},{},{},{},{},{},{}\n", quoted(variant.name), quoted(field),
                       quoted(std::string(heading)), people_unit(quantity, units),
                       csv_number(without, quantity, units), csv_number(with, quantity, units),
                       csv_number(change_of(with, without), change_quantity(quantity), units));
}

/// Temperatures are told in Celsius.
Json number(const Value& value, PeopleQuantity quantity) {
    if (!value) return nullptr;
    return quantity == PeopleQuantity::temperature ? *value - 273.15 : *value;
}

Json triple(const Value& without, const Value& with, PeopleQuantity quantity) {
    return {{"without", number(without, quantity)},
            {"with", number(with, quantity)},
            {"change", number(change_of(with, without), change_quantity(quantity))}};
}

Json fields_json(const Comparison& comparison, const VariantResult& variant) {
    const VariantResult& base = comparison.variants.front();
    Json all = Json::array();
    for (std::size_t f = 0; f < comparison.fields.size(); ++f) {
        Json field = {{"name", comparison.fields[f]}};
        for (std::size_t m = 0; m < field_measures().size(); ++m) {
            const FieldMeasure& what = field_measures()[m];
            field[std::string(what.name)] = triple(base.fields[f][m], variant.fields[f][m], what.quantity);
        }
        all.push_back(std::move(field));
    }
    return all;
}

Json sent_json(const Comparison& comparison, const VariantResult& variant) {
    Json json = Json::object();
    for (std::size_t m = 0; m < ground_measures().size(); ++m) {
        const GroundMeasure& what = ground_measures()[m];
        const std::string name(what.name);
        if (what.is_change) {
            json[name] = number(variant.sent.values[m], what.quantity);
        } else {
            json[name] =
                triple(comparison.variants.front().sent.values[m], variant.sent.values[m], what.quantity);
        }
    }
    json["most_colder_at"] = variant.sent.coldest_at;
    json["greatest_rise_at"] = variant.sent.deepest_at;
    json["leaves_at"] = variant.sent.leaves_at;
    return json;
}

}  // namespace

std::string comparison_text(const Comparison& comparison, PeopleUnits units) {
    std::string text =
        fmt::format("{}: what the remedies would change\n\n{}\n", comparison.title, legend(comparison));
    std::string tables;
    std::vector<std::string_view> noughts;
    for (std::size_t m = 0; m < field_measures().size(); ++m) {
        const Shown shown = how_shown(comparison, m, units);
        if (shown == Shown::table) tables += field_table(comparison, m, units);
        if (shown == Shown::as_nought) noughts.push_back(field_measures()[m].heading);
    }
    if (tables.empty() && noughts.empty()) tables = "Nothing changes in any field.\n\n";
    if (!noughts.empty())
        tables +=
            fmt::format("Changes that round to nought in every field: {}.\n\n", fmt::join(noughts, "; "));
    text += "Without: as the site is; the other columns tell the change.\n\n" + tables;
    text += ground_table(comparison, units) + places(comparison) + "\n";
    std::vector<std::string> kept;
    for (const VariantResult& variant : comparison.variants) {
        if (variant.kept) kept.push_back(variant.folder);
    }
    if (!kept.empty())
        text += fmt::format("Kept from an earlier comparison, its inputs being the same: {}.\n",
                            fmt::join(kept, ", "));
    for (const std::string& note : comparison.notes) text += fmt::format("Note: {}\n", note);
    for (const std::string& caution : comparison.cautions) text += fmt::format("Caution: {}\n", caution);
    return text;
}

std::string comparison_csv(const Comparison& comparison, PeopleUnits units) {
    std::string text = "remedy,field,figure,unit,without,with,change\n";
    const VariantResult& base = comparison.variants.front();
    for (std::size_t v = 1; v < comparison.variants.size(); ++v) {
        const VariantResult& variant = comparison.variants[v];
        for (std::size_t f = 0; f < comparison.fields.size(); ++f) {
            for (std::size_t m = 0; m < field_measures().size(); ++m) {
                const FieldMeasure& what = field_measures()[m];
                if (!base.fields[f][m] && !variant.fields[f][m]) continue;
                text += csv_line(variant, comparison.fields[f], what.heading, what.quantity,
                                 base.fields[f][m], variant.fields[f][m], units);
            }
        }
        for (std::size_t m = 0; m < ground_measures().size(); ++m) {
            const GroundMeasure& what = ground_measures()[m];
            if (!variant.sent.values[m]) continue;
            const Value without = what.is_change ? Value(0.0) : base.sent.values[m];
            text += csv_line(variant, "(ground)", what.heading, what.quantity, without,
                             variant.sent.values[m], units);
        }
    }
    return text;
}

std::string comparison_json(const Comparison& comparison) {
    Json json;
    json["tool"] = {{"name", "lielow"}, {"version", version()}};
    json["title"] = comparison.title;
    json["site_file"] = comparison.site_file;
    json["cautions"] = comparison.cautions;
    json["notes"] = comparison.notes;
    json["base"] = "base";
    json["remedies"] = Json::array();
    for (std::size_t v = 1; v < comparison.variants.size(); ++v) {
        const VariantResult& variant = comparison.variants[v];
        json["remedies"].push_back({{"name", variant.name},
                                    {"what", variant.text},
                                    {"folder", variant.parts.empty() ? Json(nullptr) : Json(variant.folder)},
                                    {"parts", variant.parts},
                                    {"fields", fields_json(comparison, variant)},
                                    {"sent_on", sent_json(comparison, variant)}});
    }
    return json.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

}  // namespace lielow
