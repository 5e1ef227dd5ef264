// SPDX-License-Identifier: Apache-2.0
#include "io/site.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <fstream>
#include <iterator>

#include "io/cover_rows.hpp"
#include "io/nearest_name.hpp"
#include "io/number_text.hpp"
#include "io/remedy_rows.hpp"
#include "io/site_keys.hpp"
#include "io/site_value.hpp"
#include "io/soil_rows.hpp"
#include "io/tune_ranges.hpp"
#include "sim/errors.hpp"

namespace lielow {
namespace {

/// A value in the file under its dotted name; tables that are no known section count as values.
struct Leaf {
    std::string name;
    const toml::node* node = nullptr;
};

std::string_view section_of(std::string_view name) {
    const auto dot = name.rfind('.');
    return dot == std::string_view::npos ? std::string_view() : name.substr(0, dot);
}

std::string_view last_part(std::string_view name) {
    return name.substr(name.rfind('.') + 1);
}

std::vector<std::string_view> sections() {
    std::vector<std::string_view> all;
    for (const SiteKey& key : site_keys()) {
        const std::string_view section = section_of(key.name);
        if (!section.empty() && std::find(all.begin(), all.end(), section) == all.end())
            all.push_back(section);
    }
    return all;
}

bool is_section(std::string_view name) {
    const auto all = sections();
    return std::find(all.begin(), all.end(), name) != all.end();
}

const SiteKey* find_key(std::string_view name) {
    for (const SiteKey& key : site_keys()) {
        if (key.name == name) return &key;
    }
    return nullptr;
}

std::string read_text(const std::filesystem::path& file) {
    std::error_code ignored;
    if (!std::filesystem::exists(file, ignored))
        throw InputError(fmt::format("there is no site file {}", file.string()));
    if (std::filesystem::is_directory(file, ignored))
        throw InputError(fmt::format("{} is a folder; name the site file in it", file.string()));
    std::ifstream stream(file, std::ios::binary);
    std::string text(std::istreambuf_iterator<char>(stream), {});
    if (!stream) throw InputError(fmt::format("{} can't be read; check its permissions", file.string()));
    return text;
}

/// True for `stage = 20 ft`, the likeliest slip, which TOML itself can only call unexpected letters.
bool is_quantity_without_quotes(std::string_view text, std::size_t line_number) {
    for (std::size_t line = 1; line < line_number; ++line)
        text.remove_prefix(std::min(text.find('\n'), text.size() - 1) + 1);
    text = text.substr(0, text.find('\n'));
    const auto equals = text.find('=');
    if (equals == std::string_view::npos) return false;
    std::string_view value = text.substr(equals + 1);
    if (!take_number(value)) return false;
    value = trim(value);
    return !value.empty() && value.front() != '#' && value.front() != '-' && value.front() != ':';
}

toml::table parse_toml(const std::filesystem::path& file, const std::string& text) {
    try {
        return toml::parse(text, file.string());
    } catch (const toml::parse_error& error) {
        const auto place = error.source().begin;
        const bool unquoted = is_quantity_without_quotes(text, place.line);
        throw InputError(fmt::format("{}, line {}, column {}: {}{}", file.string(), place.line, place.column,
                                     error.description(),
                                     unquoted ? R"(; a quantity stands in quotes, such as "20 ft")" : ""));
    }
}

void collect_leaves(const toml::table& table, const std::string& prefix, std::vector<Leaf>& leaves) {
    for (const auto& [key, node] : table) {
        const std::string_view plain = key.str();
        const bool dotted =
            plain.find('.') != std::string_view::npos;  // "night.cloud" in quotes is another key
        const std::string name = prefix + (dotted ? fmt::format("\"{}\"", plain) : std::string(plain));
        if (node.is_table() && is_section(name)) {
            collect_leaves(*node.as_table(), name + ".", leaves);
        } else {
            leaves.push_back({name, &node});
        }
    }
}

/// In the order of the file, so that the first mistake is the one reported.
std::vector<Leaf> leaves_of(const toml::table& table) {
    std::vector<Leaf> leaves;
    collect_leaves(table, "", leaves);
    std::sort(leaves.begin(), leaves.end(), [](const Leaf& a, const Leaf& b) {
        const auto at_a = a.node->source().begin;
        const auto at_b = b.node->source().begin;
        return std::pair(at_a.line, at_a.column) < std::pair(at_b.line, at_b.column);
    });
    return leaves;
}

/// A name without a section is compared with the keys' last parts: `stage` outside [water] is most likely
/// water.stage.
std::string_view nearest_key(std::string_view name) {
    const bool bare = section_of(name).empty();
    std::vector<std::string_view> known;
    for (const SiteKey& key : site_keys()) known.push_back(bare ? last_part(key.name) : key.name);
    const std::string_view nearest = nearest_name(name, known);
    const auto at = std::find(known.begin(), known.end(), nearest) - known.begin();
    return site_keys()[static_cast<std::size_t>(at)].name;
}

[[noreturn]] void refuse_unknown(const Leaf& leaf) {
    if (is_section(leaf.name))
        throw InputError(fmt::format("{0} is a section; write [{0}] and its keys below it", leaf.name));
    if (leaf.node->is_table())
        throw InputError(fmt::format("unknown section [{}]; the nearest known one is [{}]", leaf.name,
                                     nearest_name(leaf.name, sections())));
    throw InputError(
        fmt::format("unknown key {}; the nearest known one is {}", leaf.name, nearest_key(leaf.name)));
}

SiteSetting& setting_of(Site& site, const SiteKey& key) {
    return site.settings[static_cast<std::size_t>(&key - site_keys().data())];
}

void set_from_file(Site& site, const Leaf& leaf) {
    if (leaf.name == "cover" && leaf.node->is_table())
        return read_cover_rows(*leaf.node->as_table(), site.cover);
    if (leaf.name == "remedy" && leaf.node->is_table()) {
        site.remedies = read_remedy_rows(*leaf.node->as_table(), site.file.parent_path());
        return;
    }
    if (is_soil_rows(leaf.name) && leaf.node->is_table())
        return read_soil_rows(leaf.name, *leaf.node->as_table(), site.file.parent_path(), site.soil);
    if (leaf.name == "tune.ranges" && leaf.node->is_table()) {
        site.tune.ranges = read_tune_ranges(*leaf.node->as_table());
        return;
    }
    const SiteKey* key = find_key(leaf.name);
    if (key == nullptr) refuse_unknown(leaf);
    const SiteValue value = read_site_value(*key, *leaf.node, site.file.parent_path());
    key->set(site, value);
    setting_of(site, *key) = {key->name, value.text, "site file"};
}

void set_defaults(Site& site) {
    for (const SiteKey& key : site_keys()) {
        site.settings.push_back({key.name, std::string(key.otherwise), "not set"});
        if (key.fallback.empty()) continue;
        const toml::table written = toml::parse(fmt::format("value = {}", key.fallback));
        const SiteValue value = read_site_value(key, *written.get("value"), {});
        key.set(site, value);
        site.settings.back() = {key.name, value.text, "default"};
    }
    site.title = site.file.stem().string();
}

}  // namespace

namespace {

Site site_in_text(const std::string& text, const std::filesystem::path& file) {
    const toml::table table = parse_toml(file, text);
    Site site;
    site.file = file;
    set_defaults(site);
    for (const Leaf& leaf : leaves_of(table)) {
        try {
            set_from_file(site, leaf);
        } catch (const InputError& error) {
            const auto place = leaf.node->source().begin;
            throw InputError(fmt::format("{}, line {}, column {}: {}", file.string(), place.line,
                                         place.column, error.what()));
        }
    }
    return site;
}

}  // namespace

Site read_partial_site(const std::filesystem::path& file) {
    return site_in_text(read_text(file), file);
}

Site read_site_text(const std::string& text, const std::filesystem::path& file) {
    Site site = site_in_text(text, file);
    require_keys_for(site, "run");
    return site;
}

Site read_site(const std::filesystem::path& file) {
    return read_site_text(read_text(file), file);
}

Site with_remedy(Site site, const Remedy& remedy) {
    const auto say = [&](std::string_view key, const std::string& text) {
        for (SiteSetting& setting : site.settings) {
            if (setting.key == key) setting = {setting.key, text, fmt::format("remedy \"{}\"", remedy.name)};
        }
    };
    const auto day = [](const MonthDay& d) { return fmt::format("{:02}-{:02}", d.month, d.day); };
    if (remedy.stage) {
        site.crop.stage = remedy.stage;
        say("crop.stage", *remedy.stage);
    }
    if (remedy.tender_from) {
        site.crop.tender_from = remedy.tender_from;
        say("crop.tender_from", day(*remedy.tender_from));
    }
    if (remedy.tender_to) {
        site.crop.tender_to = remedy.tender_to;
        say("crop.tender_to", day(*remedy.tender_to));
    }
    site.done.push_back(remedy);
    return site;
}

void require_keys_for(const Site& site, std::string_view part) {
    for (std::size_t i = 0; i < site.settings.size(); ++i) {
        const SiteKey& key = site_keys()[i];
        if (key.needed_for != part || site.settings[i].origin != "not set") continue;
        throw InputError(fmt::format("{}: {} is missing; write {} = {} under [{}]", site.file.string(),
                                     key.name, last_part(key.name), key.example, section_of(key.name)));
    }
}

std::optional<std::pair<double, double>> map_position(std::string_view text) {
    const auto x = take_number(text);
    text = trim(text);
    if (!x || !text.starts_with(',')) return std::nullopt;
    text.remove_prefix(1);
    const auto y = take_number(text);
    if (!y || !trim(text).empty()) return std::nullopt;
    return std::pair(*x, *y);
}

}  // namespace lielow
