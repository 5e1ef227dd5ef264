// SPDX-License-Identifier: Apache-2.0
#include "io/crop_needs.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <array>
#include <cctype>
#include <fstream>
#include <iterator>
#include <span>

#include "crop_needs_text.inc"
#include "io/nearest_name.hpp"
#include "io/quantity.hpp"
#include "io/toml_table.hpp"
#include "sim/errors.hpp"
#include "sim/soil_facts.hpp"

namespace lielow {
namespace {

enum class Measure : std::uint8_t { length, time, plain, drainage };

/// What a row may be about.
struct NeedKind {
    std::string_view what;
    Measure measure;
    int figures;
    double low;  ///< SI
    double high;
    std::string_view range;  ///< the same for messages
    std::string_view example;
};

constexpr double day_s = 86400;
constexpr std::array<NeedKind, 8> kinds{{
    {"root depth", Measure::length, 2, 0.05, 10, "2 in to 30 ft", R"(["0.6 m", "1.2 m"])"},
    {"free depth", Measure::length, 1, 0.05, 10, "2 in to 30 ft", R"("30 in")"},
    {"soil depth", Measure::length, 1, 0.05, 10, "2 in to 30 ft", R"("30 in")"},
    {"pH", Measure::plain, 2, 3, 10, "3 to 10", "[6.0, 6.5]"},
    {"wet time borne", Measure::time, 1, 0, 60 * day_s, "0 h to 60 days", R"("24 h")"},
    {"wet time too long", Measure::time, 1, 0, 60 * day_s, "0 h to 60 days", R"("48 h")"},
    {"slope", Measure::plain, 1, 0, 1, "0 to 1, rise over run", "0.10"},
    {"drainage", Measure::drainage, 2, 0, 7, "the classes of soil surveys",
     R"(["moderately well", "somewhat poorly"])"},
}};

constexpr std::array<std::string_view, 6> frequency_names{"none",       "very rare", "rare",
                                                          "occasional", "frequent",  "very frequent"};
constexpr std::array<std::string_view, 5> need_keys{"what", "value", "basis", "from_memory", "source"};
constexpr std::array<std::string_view, 2> bases{"published", "common practice"};

std::string lower(std::string_view text) {
    std::string out(text);
    std::transform(out.begin(), out.end(), out.begin(),
                   [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
    return out;
}

[[noreturn]] void refuse(const toml::node& at, const std::string& what) {
    const auto& place = at.source();
    throw InputError(fmt::format("{}, line {}: {}", place.path ? *place.path : std::string("crop needs"),
                                 place.begin.line, what));
}

const NeedKind& kind_of(const toml::table& row) {
    const auto* what = row.get_as<std::string>("what");
    std::vector<std::string_view> known;
    known.reserve(kinds.size());
    for (const NeedKind& kind : kinds) known.push_back(kind.what);
    if (what == nullptr) refuse(row, R"(what is missing; write what = "soil depth")");
    const auto* at =
        std::find_if(kinds.begin(), kinds.end(), [&](const NeedKind& k) { return k.what == what->get(); });
    if (at == kinds.end())
        refuse(*row.get("what"), fmt::format("what = \"{}\" is not known; the nearest known one is \"{}\"",
                                             what->get(), nearest_name(what->get(), known)));
    return *at;
}

double figure_in_unit(const toml::node& node, const NeedKind& kind) {
    if (node.is_number())
        refuse(node, fmt::format("{} has no unit; write value = {}", kind.what, kind.example));
    const auto* text = node.as_string();
    if (text == nullptr) refuse(node, fmt::format("{}: write value = {}", kind.what, kind.example));
    try {
        return parse_quantity(text->get(),
                              kind.measure == Measure::time ? Dimension::time : Dimension::length);
    } catch (const InputError& error) {
        refuse(node, fmt::format("{}: {}", kind.what, error.what()));
    }
}

double figure_of(const toml::node& node, const NeedKind& kind) {
    double value = 0;
    if (kind.measure == Measure::drainage) {
        const auto found = drainage_class_named(node.value_or(std::string()));
        if (!found)
            refuse(node, fmt::format("drainage must be one of: {}", fmt::join(drainage_class_names, ", ")));
        value = *found;
    } else if (kind.measure == Measure::plain) {
        if (!node.is_number())
            refuse(node, fmt::format("{} must be a number without a unit; write value = {}", kind.what,
                                     kind.example));
        value = node.value_or(0.0);
    } else {
        value = figure_in_unit(node, kind);
    }
    if (!(value >= kind.low && value <= kind.high))
        refuse(node, fmt::format("{} is out of range; it must lie from {}", kind.what, kind.range));
    return value;
}

std::string text_of(const toml::node& node) {
    if (const auto text = node.value<std::string>()) return *text;
    return fmt::format("{:g}", node.value_or(0.0));
}

void read_value(const toml::table& row, const NeedKind& kind, CropNeed& need) {
    const toml::node* value = row.get("value");
    if (value == nullptr) refuse(row, fmt::format("value is missing; write value = {}", kind.example));
    const toml::array* pair = value->as_array();
    const bool two = pair != nullptr && pair->size() == 2;
    if ((kind.figures == 2) != two || (pair != nullptr && !two))
        refuse(*value, fmt::format("{} has {}; write value = {}", kind.what,
                                   kind.figures == 2 ? "two figures" : "one figure", kind.example));
    need.first = figure_of(two ? *pair->get(0) : *value, kind);
    need.second = two ? figure_of(*pair->get(1), kind) : need.first;
    need.text =
        two ? fmt::format("{} to {}", text_of(*pair->get(0)), text_of(*pair->get(1))) : text_of(*value);
    if (need.second < need.first) refuse(*value, fmt::format("{}: the lower one comes first", kind.what));
}

CropNeed need_of(const toml::table& row) {
    for (const auto& [key, node] : row) {
        if (std::find(need_keys.begin(), need_keys.end(), key.str()) == need_keys.end())
            refuse(node, fmt::format("unknown key {}; the nearest known one is {}", key.str(),
                                     nearest_name(key.str(), need_keys)));
    }
    const NeedKind& kind = kind_of(row);
    CropNeed need;
    need.what = kind.what;
    read_value(row, kind, need);
    need.basis = row["basis"].value_or(std::string(bases[0]));
    if (std::find(bases.begin(), bases.end(), need.basis) == bases.end())
        refuse(row, fmt::format(R"(basis must be "{}")", fmt::join(bases, R"(" or ")")));
    if (row.contains("from_memory") && !row["from_memory"].is_boolean())
        refuse(row, "from_memory must be true or false");
    need.from_memory = row["from_memory"].value_or(false);
    need.source = row["source"].value_or(std::string());
    if (need.source.empty()) refuse(row, "source is missing; write source = \"who published it\"");
    return need;
}

/// Crops of a table that have rows of needs; crops without are passed over.
std::vector<CropNeeds> needs_of(const toml::table& table) {
    std::vector<CropNeeds> all;
    const toml::array* crops = table["crop"].as_array();
    if (crops == nullptr) return all;
    for (const toml::node& node : *crops) {
        const toml::table* crop = node.as_table();
        if (crop == nullptr || !crop->contains("need")) continue;
        const toml::array* rows = (*crop)["need"].as_array();
        if (rows == nullptr || !rows->is_homogeneous<toml::table>())
            refuse(*crop->get("need"), "need must be written as [[crop.need]]");
        CropNeeds needs{(*crop)["name"].value_or(std::string()), {}};
        for (const toml::node& row : *rows) {
            needs.needs.push_back(need_of(*row.as_table()));
            const std::string& what = needs.needs.back().what;
            if (std::count_if(needs.needs.begin(), needs.needs.end(),
                              [&](const CropNeed& n) { return n.what == what; }) > 1)
                refuse(row, fmt::format("{} stands there twice for {}", what, needs.crop));
        }
        all.push_back(std::move(needs));
    }
    return all;
}

void lay_over(std::vector<CropNeeds>& all, CropNeeds&& own) {
    const auto at = std::find_if(all.begin(), all.end(),
                                 [&](const CropNeeds& n) { return lower(n.crop) == lower(own.crop); });
    if (at == all.end()) {
        all.push_back(std::move(own));
        return;
    }
    for (CropNeed& need : own.needs) {
        std::erase_if(at->needs, [&](const CropNeed& n) { return n.what == need.what; });
        at->needs.push_back(std::move(need));
    }
}

template <std::size_t n>
std::optional<int> number_of(const std::array<std::string_view, n>& names, std::string_view name,
                             std::string_view ending) {
    const std::string wanted = lower(name);
    for (std::size_t i = 0; i < n; ++i) {
        if (wanted == names[i] || wanted + std::string(ending) == names[i]) return static_cast<int>(i);
    }
    return std::nullopt;
}

}  // namespace

std::vector<CropNeeds> read_crop_needs(const std::optional<std::filesystem::path>& own) {
    std::vector<CropNeeds> all = needs_of(parse_toml_table(crop_needs_text, "crop_needs.toml"));
    if (!own) return all;
    std::ifstream stream(*own, std::ios::binary);
    const std::string text(std::istreambuf_iterator<char>(stream), {});
    if (!stream || std::filesystem::is_directory(*own))
        throw InputError(fmt::format("there is no table of crops {}", own->string()));
    for (CropNeeds& needs : needs_of(parse_toml_table(text, own->string()))) lay_over(all, std::move(needs));
    return all;
}

const CropNeed* find_crop_need(const std::vector<CropNeeds>& all, std::string_view crop,
                               std::string_view what) {
    for (const CropNeeds& needs : all) {
        if (lower(needs.crop) != lower(crop)) continue;
        for (const CropNeed& need : needs.needs) {
            if (need.what == what) return &need;
        }
    }
    return nullptr;
}

std::optional<int> drainage_class_named(std::string_view name) {
    return number_of(drainage_class_names, name, " drained");
}

std::string_view drainage_class_name(int number) {
    return drainage_class_names.at(static_cast<std::size_t>(std::clamp(number, 0, 7)));
}

std::optional<int> water_frequency_named(std::string_view name) {
    return number_of(frequency_names, name, "");
}

std::string_view water_frequency_name(int number) {
    return frequency_names.at(static_cast<std::size_t>(std::clamp(number, 0, 5)));
}

}  // namespace lielow
