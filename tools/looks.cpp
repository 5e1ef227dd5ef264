// SPDX-License-Identifier: Apache-2.0
#include "tools/looks.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <functional>

#include "io/nearest_name.hpp"
#include "sim/errors.hpp"
#include "tools/looks_file.hpp"

namespace lielow {
namespace {

constexpr std::string_view hours_stem = "hours_below";
constexpr std::array<std::string_view, 16> keys{
    "like",      "title",     "label",     "blank", "quantity", "ramp",       "reversed", "limits",
    "limits_si", "from_zero", "both_ways", "least", "step",     "by_factors", "groups",   "overlays"};

struct QuantityName {
    std::string_view name;
    std::optional<PeopleQuantity> quantity;
};
using PQ = PeopleQuantity;
constexpr std::array<QuantityName, 13> quantities{{{"height", PQ::height},
                                                   {"small_depth", PQ::small_depth},
                                                   {"area", PQ::area},
                                                   {"temperature", PQ::temperature},
                                                   {"temperature_difference", PQ::temperature_difference},
                                                   {"share", PQ::share},
                                                   {"hours", PQ::hours},
                                                   {"years", PQ::years},
                                                   {"speed", PQ::speed},
                                                   {"days", PQ::days},
                                                   {"direction", std::nullopt},
                                                   {"number", std::nullopt},
                                                   {"class", std::nullopt}}};

[[noreturn]] void refuse(std::string_view raster, const std::string& what) {
    throw InputError(fmt::format("looks.toml: {}: {}", raster, what));
}

/// One row of looks.toml, with the rows it is like behind it.
class Row {
  public:
    explicit Row(std::string_view raster) : raster_(raster) {
        for (std::string_view next = raster; !next.empty();) {
            const toml::table* table = looks_file()["looks"][next].as_table();
            if (table == nullptr || tables_.size() > 3) refuse(raster, fmt::format("is like {}", next));
            for (const auto& [key, node] : *table) {
                if (std::find(keys.begin(), keys.end(), key.str()) == keys.end())
                    refuse(raster, fmt::format("unknown key {}; the nearest known one is {}", key.str(),
                                               nearest_name(key.str(), keys)));
            }
            tables_.push_back(table);
            next = (*table)["like"].value_or(std::string_view());
        }
    }

    [[nodiscard]] const toml::node* find(std::string_view key) const {
        for (const toml::table* table : tables_) {
            if (const toml::node* node = table->get(key)) return node;
        }
        return nullptr;
    }

    template <class T>
    [[nodiscard]] T value(std::string_view key, T otherwise) const {
        const toml::node* node = find(key);
        if (node == nullptr) return otherwise;
        const auto value = node->value<T>();
        if (!value) refuse(raster_, fmt::format("{} is no value of its kind", key));
        return *value;
    }

    template <class T>
    [[nodiscard]] std::vector<T> values(std::string_view key) const {
        std::vector<T> all;
        const toml::node* node = find(key);
        if (node == nullptr) return all;
        if (!node->is_array()) refuse(raster_, fmt::format("{} is no list", key));
        for (const toml::node& item : *node->as_array()) {
            const auto value = item.value<T>();
            if (!value) refuse(raster_, fmt::format("{} has what is no value of its kind", key));
            all.push_back(*value);
        }
        return all;
    }

    [[nodiscard]] std::string_view raster() const { return raster_; }

  private:
    std::string_view raster_;
    std::vector<const toml::table*> tables_;
};

void read_quantity(const Row& row, Look& look) {
    const auto name = row.value<std::string>("quantity", "");
    const auto* known = std::find_if(quantities.begin(), quantities.end(),
                                     [&](const QuantityName& q) { return q.name == name; });
    if (known == quantities.end()) refuse(row.raster(), fmt::format("unknown quantity \"{}\"", name));
    look.quantity = known->quantity;
    look.classes = name == "class";
    look.direction = name == "direction";
}

void read_colours(const Row& row, Look& look) {
    if (look.classes) return;
    Ramp ramp = find_ramp(row.value<std::string>("ramp", ""));
    look.ramp = row.value("reversed", false) ? reversed(std::move(ramp)) : std::move(ramp);
    look.limits_us = row.values<double>("limits");
    look.limits_si = row.find("limits_si") == nullptr ? look.limits_us : row.values<double>("limits_si");
    for (const std::vector<double>& limits : {look.limits_us, look.limits_si}) {
        const bool rises =
            std::adjacent_find(limits.begin(), limits.end(), std::greater_equal<>()) == limits.end();
        if (limits.size() == 1 || !rises) refuse(row.raster(), "limits must rise, and be two at least");
    }
}

Look read_look(std::string_view raster) {
    const Row row(raster);
    Look look;
    look.raster = raster;
    look.title = row.value<std::string>("title", "");
    look.label = row.value<std::string>("label", "");
    look.blank = row.value<std::string>("blank", "");
    if (look.title.empty() || look.label.empty()) refuse(raster, "title and label are missing");
    read_quantity(row, look);
    read_colours(row, look);
    if (row.value("from_zero", false)) look.drawn = Drawn::from_zero;
    if (row.value("both_ways", false)) look.drawn = Drawn::both_ways;
    look.least_si = row.value("least", 0.0);
    look.step_si = row.value("step", look.step_si);
    look.by_factors = row.value("by_factors", false);
    look.groups = row.values<std::string>("groups");
    return look;
}

std::vector<Look> read_looks() {
    std::vector<std::pair<std::uint32_t, std::string_view>> names;  // a table's keys come sorted by name
    const toml::table* looks = looks_file()["looks"].as_table();
    if (looks == nullptr) throw InputError("looks.toml has no [looks]");
    for (const auto& [key, node] : *looks) names.emplace_back(node.source().begin.line, key.str());
    std::sort(names.begin(), names.end());
    std::vector<Look> all;
    all.reserve(names.size());
    for (const auto& [line, name] : names) all.push_back(read_look(name));
    return all;
}

void fill_in(std::string& text, std::string_view threshold) {
    constexpr std::string_view place = "{threshold}";
    if (const auto at = text.find(place); at != std::string::npos) text.replace(at, place.size(), threshold);
}

/// "32 °F" of "hours_below_32_degf"; "" for a name that isn't made so.
std::string threshold_of(std::string_view name) {
    if (!name.starts_with(hours_stem)) return {};
    name.remove_prefix(hours_stem.size());
    const auto unit_at = name.rfind("_deg");
    if (!name.starts_with('_') || unit_at == std::string_view::npos || unit_at == 0) return {};
    std::string number(name.substr(1, unit_at - 1));
    if (number.starts_with("minus_")) number.replace(0, 6, "−");
    std::replace(number.begin(), number.end(), '_', '.');
    return fmt::format("{} {}", number, name.ends_with("degf") ? "°F" : "°C");
}

}  // namespace

std::span<const Look> all_looks() {
    static const std::vector<Look> looks = read_looks();
    return looks;
}

std::optional<Look> look_of(std::string_view name) {
    const std::string threshold = threshold_of(name);
    for (const Look& known : all_looks()) {
        if (known.raster != (threshold.empty() ? name : hours_stem)) continue;
        Look look = known;
        look.raster = name;
        fill_in(look.title, threshold.empty() ? "a temperature" : threshold);
        fill_in(look.label, threshold.empty() ? "it" : threshold);
        return look;
    }
    return std::nullopt;
}

std::vector<double> round_limits(double least, double greatest, int wanted) {
    if (!(greatest > least)) greatest = least + 1;
    const double rough = (greatest - least) / wanted;
    const double power = std::pow(10.0, std::floor(std::log10(rough)));
    constexpr double hardly_less = 0.75;  // a few classes more are better than half as many
    double step = 10 * power;
    for (const double nice : {5.0, 2.0, 1.0}) {
        if (nice * power >= hardly_less * rough) step = nice * power;
    }
    std::vector<double> limits;
    for (double n = std::floor(least / step); (n - 1) * step < greatest; ++n) limits.push_back(n * step);
    return limits;
}

std::string limit_text(double limit) {
    std::string text = fmt::format("{:.6g}", limit);
    if (text == "-0") text = "0";
    if (text.front() == '-') text.replace(0, 1, "−");
    return text;
}

}  // namespace lielow
