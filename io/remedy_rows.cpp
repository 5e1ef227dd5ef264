// SPDX-License-Identifier: Apache-2.0
#include "io/remedy_rows.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>

#include "io/nearest_name.hpp"
#include "io/number_text.hpp"
#include "io/quantity.hpp"
#include "io/site.hpp"
#include "io/station_record.hpp"
#include "sim/errors.hpp"

namespace lielow {
namespace {

/// Where a remedy's shape comes from: map positions or a file.
enum class Drawn : std::uint8_t { no, yes, outline_or_offset };

/// What each kind asks for. Keys in the order of RemedyKind.
struct KindKeys {
    std::vector<std::string_view> needed;
    std::vector<std::string_view> allowed;
    Drawn drawn = Drawn::no;
};

const KindKeys& keys_of(RemedyKind kind) {
    static const std::vector<KindKeys> all{
        {{"height"}, {"fields"}, Drawn::no},
        {{"spacing"}, {"depth", "fields"}, Drawn::no},
        {{"depth"}, {"width"}, Drawn::yes},
        {{"height"}, {}, Drawn::yes},
        {{}, {"width"}, Drawn::yes},
        {{"height", "openness"}, {}, Drawn::yes},
        {{"height", "openness"}, {}, Drawn::yes},
        {{"heat", "radius"}, {}, Drawn::yes},
        {{"fields"}, {"east", "north"}, Drawn::outline_or_offset},
        {{}, {"stage", "tender_from", "tender_to"}, Drawn::no},
    };
    return all[static_cast<std::size_t>(kind)];
}

/// A key that holds one quantity, with its limits.
struct QuantityKey {
    std::string_view name;
    std::optional<double> Remedy::*member;
    Dimension dimension;
    double low;
    double high;
    std::string_view limits;
    std::string_view example;
};

const std::vector<QuantityKey>& quantity_keys() {
    static const std::vector<QuantityKey> keys{
        {"height", &Remedy::height_m, Dimension::length, 0.01, 100, "0.01 m to 100 m", R"("2 ft")"},
        {"depth", &Remedy::depth_m, Dimension::length, 0.01, 6, "0.01 m to 6 m", R"("3 ft")"},
        {"spacing", &Remedy::spacing_m, Dimension::length, 1, 500, "1 m to 500 m", R"("40 ft")"},
        {"width", &Remedy::width_m, Dimension::length, 0.01, 1000, "0.01 m to 1000 m", R"("20 ft")"},
        {"radius", &Remedy::radius_m, Dimension::length, 1, 1000, "1 m to 1000 m", R"("150 ft")"},
        {"heat", &Remedy::heat_w, Dimension::power, 1, 1e8, "1 W to 100 MW", R"("60 kW")"},
        {"east", &Remedy::east_m, Dimension::length, -1e5, 1e5, "-100 km to 100 km", R"("200 ft")"},
        {"north", &Remedy::north_m, Dimension::length, -1e5, 1e5, "-100 km to 100 km", R"("-200 ft")"},
    };
    return keys;
}

constexpr std::array<std::string_view, 16> key_order{
    "kind",     "fields", "at",   "file", "height", "depth", "spacing",     "width",
    "openness", "radius", "heat", "east", "north",  "stage", "tender_from", "tender_to"};

std::string_view example_of(std::string_view key) {
    for (const QuantityKey& quantity : quantity_keys()) {
        if (quantity.name == key) return quantity.example;
    }
    if (key == "openness") return "0.4";
    if (key == "fields") return R"("Low Gate")";
    return R"("full bloom")";
}

/// Reads the keys of one remedy; messages begin with its name.
class Row {
  public:
    Row(const toml::table& table, std::string name, const std::filesystem::path& folder)
        : table_(table), folder_(folder) {
        remedy_.name = std::move(name);
    }

    Remedy read() {
        read_kind();
        check_keys();
        for (const std::string_view key : key_order) {
            if (const toml::node* node = table_.get(key)) set(key, *node);
        }
        check_drawn();
        check_together();
        return std::move(remedy_);
    }

  private:
    template <class... Parts>
    [[noreturn]] void refuse(fmt::format_string<Parts...> text, Parts&&... parts) const {
        throw InputError(
            fmt::format("remedy \"{}\": {}", remedy_.name, fmt::format(text, std::forward<Parts>(parts)...)));
    }

    [[nodiscard]] std::string text_of(std::string_view key, const toml::node& node,
                                      std::string_view example) const {
        const auto* text = node.as_string();
        if (text == nullptr || trim(text->get()).empty())
            refuse("{} must be a text in quotes, such as {}", key, example);
        return text->get();
    }

    void read_kind() {
        const toml::node* node = table_.get("kind");
        const auto& names = remedy_kind_names();
        if (node == nullptr) refuse("kind is missing; write one of {}", fmt::join(names, ", "));
        const std::string kind = text_of("kind", *node, R"("gap")");
        const auto found = std::find(names.begin(), names.end(), kind);
        if (found == names.end())
            refuse(R"(unknown kind "{}"; the nearest known one is "{}")", kind, nearest_name(kind, names));
        remedy_.kind = static_cast<RemedyKind>(found - names.begin());
        remedy_.text = kind;
    }

    [[nodiscard]] std::vector<std::string_view> known_keys() const {
        const KindKeys& keys = keys_of(remedy_.kind);
        std::vector<std::string_view> known{"kind"};
        known.insert(known.end(), keys.needed.begin(), keys.needed.end());
        known.insert(known.end(), keys.allowed.begin(), keys.allowed.end());
        if (keys.drawn == Drawn::yes) known.emplace_back("at");
        if (keys.drawn != Drawn::no) known.emplace_back("file");
        return known;
    }

    void check_keys() const {
        const std::vector<std::string_view> known = known_keys();
        const std::string_view kind = remedy_kind_name(remedy_.kind);
        for (const auto& [key, node] : table_) {
            if (std::find(known.begin(), known.end(), key.str()) == known.end())
                refuse("the kind \"{}\" knows no {}; the nearest it knows is {}", kind, key.str(),
                       nearest_name(key.str(), known));
        }
        for (const std::string_view key : keys_of(remedy_.kind).needed) {
            if (!table_.contains(key)) refuse("{} is missing; write {} = {}", key, key, example_of(key));
        }
    }

    void set(std::string_view key, const toml::node& node) {
        if (key == "kind") return;
        std::string text;
        const auto quantity = std::find_if(quantity_keys().begin(), quantity_keys().end(),
                                           [key](const QuantityKey& k) { return k.name == key; });
        if (quantity != quantity_keys().end()) {
            text = set_quantity(*quantity, node);
        } else if (key == "fields") {
            text = set_fields(node);
        } else if (key == "at") {
            text = set_positions(text_of(key, node, R"("501300, 4400200")"));
        } else if (key == "file") {
            text = text_of(key, node, R"("ditch.gpkg")");
            remedy_.file = folder_ / text;
        } else if (key == "openness") {
            text = set_openness(node);
        } else {
            text = set_stage(key, node);
        }
        remedy_.text += fmt::format(", {} {}", key, text);
    }

    std::string set_quantity(const QuantityKey& key, const toml::node& node) {
        const std::string text = text_of(key.name, node, key.example);
        double value = 0;
        try {
            value = parse_quantity(text, key.dimension);
        } catch (const InputError& error) {
            refuse("{}: {}", key.name, error.what());
        }
        if (!(value >= key.low && value <= key.high))
            refuse("{} = {} is out of range; it must lie from {}", key.name, text, key.limits);
        remedy_.*key.member = value;
        return text;
    }

    std::string set_fields(const toml::node& node) {
        if (const auto* list = node.as_array()) {
            for (const toml::node& name : *list)
                remedy_.fields.push_back(text_of("fields", name, R"("Low Gate")"));
        } else {
            remedy_.fields = {text_of("fields", node, R"("Low Gate")")};
        }
        if (remedy_.fields.empty()) refuse("fields names none; leave it out for every field");
        return fmt::format("{}", fmt::join(remedy_.fields, ", "));
    }

    std::string set_positions(const std::string& text) {
        std::string_view rest = text;
        while (!trim(rest).empty()) {
            const std::string_view one = rest.substr(0, rest.find(';'));
            rest.remove_prefix(std::min(rest.size(), one.size() + 1));
            const auto position = map_position(one);
            if (!position)
                refuse(R"(at: "{}" is no map position; write "501300, 4400200; 501320, 4400260")", trim(one));
            remedy_.at.push_back({position->first, position->second});
        }
        return text;
    }

    std::string set_openness(const toml::node& node) {
        const auto value = node.is_number() ? node.value<double>() : std::nullopt;
        if (!value || !(*value >= 0 && *value <= 1))
            refuse("openness must be a number from 0 (solid) to 1 (nothing there)");
        remedy_.openness = *value;
        return fmt::format("{:g}", *value);
    }

    std::string set_stage(std::string_view key, const toml::node& node) {
        const std::string text = text_of(key, node, key == "stage" ? R"("full bloom")" : R"("04-12")");
        if (key == "stage") {
            remedy_.stage = text;
            return text;
        }
        try {
            (key == "tender_from" ? remedy_.tender_from : remedy_.tender_to) = month_day_from(text);
        } catch (const InputError& error) {
            refuse("{}: {}", key, error.what());
        }
        return text;
    }

    void check_drawn() const {
        const Drawn drawn = keys_of(remedy_.kind).drawn;
        const bool placed = !remedy_.at.empty() || remedy_.file;
        if (drawn == Drawn::yes && !placed)
            refuse(R"(where it lies is missing; write at = "501300, 4400200" or file = "shapes.gpkg")");
        if (!remedy_.at.empty() && remedy_.file)
            refuse("at and file exclude each other; keep one of the two");
        const bool points = remedy_.kind == RemedyKind::gap || remedy_.kind == RemedyKind::fan;
        if (remedy_.at.size() == 1 && !points)
            refuse("at names one position; a line needs two or more, separated by semicolons");
        if (remedy_.kind == RemedyKind::gap && !remedy_.at.empty() && !remedy_.width_m)
            refuse(R"(width is missing; write width = "20 ft")");
    }

    void check_together() const {
        if (remedy_.kind == RemedyKind::moved_field) {
            if (remedy_.fields.size() != 1) refuse("fields must name the one field that is moved");
            if (remedy_.file.has_value() == (remedy_.east_m || remedy_.north_m))
                refuse("write either east and north, how far it is moved, or file, its new outline");
        }
        if (remedy_.kind == RemedyKind::later_stage && !remedy_.stage && !remedy_.tender_from &&
            !remedy_.tender_to)
            refuse(R"(nothing is changed; write stage = "late pink" or tender_from and tender_to)");
    }

    const toml::table& table_;
    const std::filesystem::path& folder_;
    Remedy remedy_;
};

}  // namespace

std::vector<Remedy> read_remedy_rows(const toml::table& table, const std::filesystem::path& folder) {
    std::vector<std::pair<toml::source_position, Remedy>> rows;
    for (const auto& [name, node] : table) {
        const toml::table* keys = node.as_table();
        if (keys == nullptr)
            throw InputError(fmt::format(
                R"(remedy.{0} must be a section; write [remedy."{0}"] and below it its keys)", name.str()));
        rows.emplace_back(node.source().begin, Row(*keys, std::string(name.str()), folder).read());
    }
    std::stable_sort(rows.begin(), rows.end(), [](const auto& a, const auto& b) {
        return std::pair(a.first.line, a.first.column) < std::pair(b.first.line, b.first.column);
    });
    std::vector<Remedy> remedies;
    for (auto& row : rows) remedies.push_back(std::move(row.second));
    return remedies;
}

}  // namespace lielow
