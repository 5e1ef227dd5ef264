// SPDX-License-Identifier: Apache-2.0
#include "io/crop_table.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <array>
#include <cctype>
#include <fstream>
#include <iterator>

#include "crops_text.inc"
#include "io/nearest_name.hpp"
#include "io/quantity.hpp"
#include "io/toml_table.hpp"
#include "sim/errors.hpp"

namespace lielow {
namespace {

[[noreturn]] void refuse(const toml::node& at, const std::string& what) {
    const auto& place = at.source();
    throw InputError(fmt::format("{}, line {}: {}", place.path ? *place.path : std::string("crops"),
                                 place.begin.line, what));
}

/// Keys of a crop and of a stage; io/crop_needs.cpp reads the needs.
constexpr std::array<std::string_view, 3> crop_keys{"name", "stage", "need"};
constexpr std::array<std::string_view, 9> stage_keys{"name",      "t10",   "t90",         "t50",   "critical",
                                                     "t10_range", "basis", "from_memory", "source"};
constexpr std::array<std::string_view, 2> bases{"kill trials", "extension practice"};

void check_keys(const toml::table& table, std::span<const std::string_view> known) {
    for (const auto& [key, node] : table) {
        if (std::find(known.begin(), known.end(), key.str()) == known.end())
            refuse(node, fmt::format("unknown key {}; the nearest known one is {}", key.str(),
                                     nearest_name(key.str(), known)));
    }
}

std::string text_of(const toml::table& table, std::string_view key, std::string_view example) {
    const auto* text = table.get_as<std::string>(key);
    if (text == nullptr || text->get().empty())
        refuse(table, fmt::format("{} is missing; write {} = \"{}\"", key, key, example));
    return text->get();
}

double temperature_of(const toml::node& node, std::string_view key) {
    if (node.is_number()) refuse(node, fmt::format("{} has no unit; write {} = \"28 degF\"", key, key));
    const auto* text = node.as_string();
    if (text == nullptr) refuse(node, fmt::format("{} must be a temperature such as \"28 degF\"", key));
    double kelvin = 0;
    try {
        kelvin = parse_quantity(text->get(), Dimension::temperature);
    } catch (const InputError& error) {
        refuse(node, fmt::format("{}: {}", key, error.what()));
    }
    constexpr double coldest = 213.15;
    constexpr double warmest = 283.15;
    if (kelvin < coldest || kelvin > warmest)
        refuse(node, fmt::format("{} = {} is no temperature that kills a crop's flowers; it must lie from "
                                 "-60 degC to 10 degC",
                                 key, text->get()));
    return kelvin;
}

struct Range {
    double colder = 0;
    double warmer = 0;
};

/// One temperature, or two with the colder first.
Range range_of(const toml::node& node, std::string_view key) {
    const auto* pair = node.as_array();
    if (pair == nullptr) {
        const double one = temperature_of(node, key);
        return {one, one};
    }
    if (pair->size() != 2) refuse(node, fmt::format("{} must be one temperature or two, colder first", key));
    const Range range{temperature_of(*pair->get(0), key), temperature_of(*pair->get(1), key)};
    if (range.colder > range.warmer) refuse(node, fmt::format("{} must name the colder end first", key));
    return range;
}

/// Figures are printed to the whole °F, so each may be half of one off; one from memory a whole one (a
/// choice).
constexpr double rounding_k = 0.5 / 1.8;
constexpr double memory_k = 1 / 1.8;

void set_disagreement(const toml::table& table, CropStage& stage) {
    KillCurve& curve = stage.curve;
    const double least = stage.from_memory ? memory_k : rounding_k;
    curve.colder = curve.warmer = least;
    const toml::node* node = table.get("t10_range");
    if (node == nullptr) return;
    const Range range = range_of(*node, "t10_range");
    curve.colder = std::max(least, curve.t10 - range.colder);
    curve.warmer = std::max(least, range.warmer - curve.t10);
}

/// What the figures rest on; where a person's own table doesn't tell, by what it gives.
void set_basis(const toml::table& table, CropStage& stage) {
    stage.basis = bases[table.contains("critical") ? 1 : 0];
    if (const toml::node* node = table.get("basis")) {
        stage.basis = node->value_or(std::string());
        if (std::find(bases.begin(), bases.end(), stage.basis) == bases.end())
            refuse(*node, fmt::format(R"(basis must be "{}")", fmt::join(bases, R"(" or ")")));
    }
    if (const toml::node* node = table.get("from_memory")) {
        if (!node->is_boolean()) refuse(*node, "from_memory must be true or false");
        stage.from_memory = node->value_or(false);
    }
}

/// From t10 and t90, t10 alone, t50 alone or critical alone.
KillCurve curve_of(const toml::table& table, const std::string& name) {
    const toml::node* t10 = table.get("t10");
    const toml::node* t90 = table.get("t90");
    const toml::node* t50 = table.get("t50");
    const toml::node* critical = table.get("critical");
    const int ways = (t10 != nullptr ? 1 : 0) + (t50 != nullptr ? 1 : 0) + (critical != nullptr ? 1 : 0);
    if (ways != 1 || (t90 != nullptr && t10 == nullptr))
        refuse(table,
               fmt::format("stage \"{}\" must give t10 and t90, or t50 alone, or critical alone", name));
    KillCurve curve;
    if (critical != nullptr) {
        const Range range = range_of(*critical, "critical");
        curve.t10 = range.warmer;
        curve.t90 = range.colder - supposed_width_k;
    } else if (t50 != nullptr) {
        curve.t10 = temperature_of(*t50, "t50") + supposed_width_k / 2;
        curve.t90 = curve.t10 - supposed_width_k;
    } else {
        curve.t10 = temperature_of(*t10, "t10");
        curve.t90 = t90 != nullptr ? temperature_of(*t90, "t90") : curve.t10 - supposed_width_k;
    }
    if (!(curve.t90 < curve.t10))
        refuse(table, fmt::format("stage \"{}\": t90, which kills 90 %, must be colder than t10", name));
    return curve;
}

CropStage stage_of(const toml::table& table) {
    check_keys(table, stage_keys);
    CropStage stage;
    stage.name = text_of(table, "name", "full bloom");
    stage.source = text_of(table, "source", "who published it");
    stage.supposed_width = !table.contains("t90");
    stage.curve = curve_of(table, stage.name);
    set_basis(table, stage);
    set_disagreement(table, stage);
    return stage;
}

/// A stage with t10 alone borrows t90 from the next stage: a bud less far on isn't the tenderer one.
void borrow_t90(const toml::array& tables, std::vector<CropStage>& stages) {
    for (std::size_t i = stages.size() - 1; i-- > 0;) {
        const bool t10_alone = stages[i].supposed_width && tables[i].as_table()->contains("t10");
        if (t10_alone && stages[i + 1].curve.t90 < stages[i].curve.t10)
            stages[i].curve.t90 = stages[i + 1].curve.t90;
    }
}

const toml::array& tables_of(const toml::table& table, std::string_view key, std::string_view write) {
    const toml::node* node = table.get(key);
    if (node == nullptr) refuse(table, fmt::format("there is no {}; write {}", key, write));
    const toml::array* tables = node->as_array();
    if (tables == nullptr || !tables->is_homogeneous<toml::table>())
        refuse(*node, fmt::format("{} must be written as {}", key, write));
    return *tables;
}

Crop crop_of(const toml::table& table) {
    check_keys(table, crop_keys);
    Crop crop{text_of(table, "name", "highbush blueberry"), {}};
    const toml::array& stages = tables_of(table, "stage", "[[crop.stage]]");
    for (const toml::node& stage : stages) crop.stages.push_back(stage_of(*stage.as_table()));
    borrow_t90(stages, crop.stages);
    return crop;
}

std::vector<Crop> crops_of(const toml::table& table) {
    constexpr std::array<std::string_view, 1> known{"crop"};
    check_keys(table, known);
    std::vector<Crop> crops;
    for (const toml::node& crop : tables_of(table, "crop", "[[crop]]")) {
        const toml::table& row = *crop.as_table();
        const bool needs_alone = row.contains("need") && !row.contains("stage");
        if (needs_alone) {
            check_keys(row, crop_keys);
            (void)text_of(row, "name", "highbush blueberry");
        } else {
            crops.push_back(crop_of(row));
        }
    }
    return crops;
}

std::string lower(std::string_view text) {
    std::string out(text);
    std::transform(out.begin(), out.end(), out.begin(),
                   [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
    return out;
}

std::string_view last_word(std::string_view name) {
    return name.substr(name.rfind(' ') + 1);
}

/// By letters, yet "cherry" and "tart cherry" are nearer to "sweet cherry" than to "pear".
std::string_view nearest_of(std::string_view name, std::span<const std::string_view> known) {
    for (const std::string_view one : known) {
        if (last_word(one) == last_word(name)) return one;
    }
    return nearest_name(name, known);
}

/// Element of `all` with this name, in large or small letters.
template <class Named>
const Named* named(const std::vector<Named>& all, std::string_view name) {
    const auto at =
        std::find_if(all.begin(), all.end(), [&](const Named& n) { return lower(n.name) == lower(name); });
    return at == all.end() ? nullptr : &*at;
}

template <class Named>
std::vector<std::string_view> names_of(const std::vector<Named>& all) {
    std::vector<std::string_view> names;
    names.reserve(all.size());
    for (const Named& one : all) names.emplace_back(one.name);
    return names;
}

}  // namespace

CropTable read_crop_table(const std::optional<std::filesystem::path>& own) {
    CropTable table{crops_of(parse_toml_table(crops_text, "crops.toml")), "this program's table"};
    if (!own) return table;
    std::ifstream stream(*own, std::ios::binary);
    const std::string text(std::istreambuf_iterator<char>(stream), {});
    if (!stream || std::filesystem::is_directory(*own))
        throw InputError(fmt::format("there is no table of crops {}", own->string()));
    for (Crop& crop : crops_of(parse_toml_table(text, own->string()))) {
        std::erase_if(table.crops, [&](const Crop& c) { return lower(c.name) == lower(crop.name); });
        table.crops.push_back(std::move(crop));
    }
    table.of += " with " + own->filename().string();
    return table;
}

const CropStage& find_crop_stage(const CropTable& table, std::string_view crop, std::string_view stage) {
    const Crop* found = named(table.crops, crop);
    if (found == nullptr) {
        throw InputError(fmt::format(
            R"(crop.kind = "{}" is not in {}; the nearest name in it is "{}"; add others with crop.table)",
            crop, table.of, nearest_of(lower(crop), names_of(table.crops))));
    }
    const CropStage* at = named(found->stages, stage);
    if (at == nullptr) {
        throw InputError(fmt::format(
            R"(crop.stage = "{}" is not known for {}; the nearest one is "{}" of: {})", stage, found->name,
            nearest_name(lower(stage), names_of(found->stages)), fmt::join(names_of(found->stages), ", ")));
    }
    return *at;
}

}  // namespace lielow
