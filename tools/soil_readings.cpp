// SPDX-License-Identifier: Apache-2.0
#include "tools/soil_readings.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "io/field_test_file.hpp"
#include "io/people_units.hpp"
#include "io/soil_words.hpp"
#include "sim/penetrometer.hpp"
#include "sim/soil_water.hpp"
#include "sim/soil_wetness.hpp"
#include "tools/text_table.hpp"

namespace lielow {
namespace {

constexpr auto height = PeopleQuantity::height;
constexpr auto small_depth = PeopleQuantity::small_depth;

/// Depths in a pit.
std::string depth_text(double m, PeopleUnits units) {
    const bool us = units == PeopleUnits::us;
    return fmt::format("{:.0f} {}", m / (us ? 0.0254 : 0.01), us ? "in" : "cm");
}

/// Speeds in the ground, per hour.
std::string hourly(double m_s, PeopleUnits units) {
    const bool us = units == PeopleUnits::us;
    return fmt::format("{:.2g} {}/h", m_s * 3600 / (us ? 0.0254 : 0.001), us ? "in" : "mm");
}

std::string time_text(double seconds) {
    return seconds < 2 * 86400 ? fmt::format("{:.2g} h", seconds / 3600)
                               : fmt::format("{:.2g} days", seconds / 86400);
}

std::string percolation_reading(const ReadTest& read, PeopleUnits units) {
    const SoilFinding& f = read.finding;
    if (f.no_fall)
        return fmt::format(
            "water did not fall in {}; by Porchet the conductivity is below {}, which a fall of 1/16 in (1.6 "
            "mm) would mean; the hole may stand in the water table or in a clogged wall: roughen the wall "
            "and "
            "read again after a day",
            time_text(read.test.water.back().time_s - read.test.water.front().time_s),
            hourly(f.conductivity_m_s, units));
    return fmt::format(
        "water fell {} at last ({}); conductivity {} by Porchet; a hole of that width 18 in deep would empty "
        "in "
        "{} ({}){}",
        hourly(f.rate_m_s, units), percolation_name(percolation_class(f.rate_m_s)),
        hourly(f.conductivity_m_s, units), time_text(f.emptying_s),
        emptying_name(emptying_class(f.emptying_s)),
        read.test.presoaked ? "" : "; the hole wasn't soaked beforehand, which reads too fast");
}

std::string colour_reading(const SoilFinding& f, PeopleUnits units) {
    if (std::isnan(f.seen_to_m)) return "";
    const std::string gray = std::isnan(f.gray_from_m)
                                 ? fmt::format("no gray down to {}", depth_text(f.seen_to_m, units))
                                 : fmt::format("gray from {} down", depth_text(f.gray_from_m, units));
    const bool told = f.drainage != DrainageClass::unknown;
    return fmt::format("{}: {}; ", gray,
                       told ? drainage_name(f.drainage) : "not deep enough for a class, which takes 40 in");
}

std::string water_reading(const ReadTest& read, PeopleUnits units) {
    const SoilFinding& f = read.finding;
    if (read.test.pit_water.empty()) return "";
    if (std::isnan(f.table_depth_year_m)) return "no water a day or more after rain; ";
    const DrainageClass like = class_by_free_water(f.table_depth_year_m);
    return fmt::format("water at {} a day or more after rain{}; ", depth_text(f.table_depth_year_m, units),
                       like == DrainageClass::unknown
                           ? ""
                           : fmt::format(" (if it stays for weeks: {})", drainage_name(like)));
}

std::string held_reading(const SoilFinding& f, std::string_view crop, PeopleUnits units) {
    std::string text;
    if (!std::isnan(f.floor_depth_m))
        text += fmt::format("stopped at {}; ", depth_text(f.floor_depth_m, units));
    if (!std::isnan(f.available_water_m))
        text += fmt::format("holds {} for plants in the top {}; ",
                            people_text(f.available_water_m, small_depth, units),
                            units == PeopleUnits::us ? "3.3 ft" : "metre");
    if (!std::isnan(f.rooting_depth_m))
        text += fmt::format("roots to {}; ", depth_text(f.rooting_depth_m, units));
    if (std::isnan(f.rooted_water_m)) return text;
    const RootingHabit* habit = rooting_habit(crop);
    const double ready = f.rooted_water_m * (habit != nullptr ? habit->depletion : usual_depletion);
    text += fmt::format("readily available to them {} ({})", people_text(ready, small_depth, units),
                        habit != nullptr ? fmt::format("{:.0f} % of what is there, FAO-56 for {}",
                                                       100 * habit->depletion, crop)
                                         : "half of what is there, common practice");
    if (units == PeopleUnits::us) text += fmt::format(", {:.0f} gal/acre", gallons_on_an_acre(ready));
    return text + "; ";
}

std::string pit_reading(const ReadTest& read, std::string_view crop, PeopleUnits units) {
    std::string text = colour_reading(read.finding, units) + water_reading(read, units) +
                       held_reading(read.finding, crop, units);
    if (text.ends_with("; ")) text.resize(text.size() - 2);
    return text;
}

std::string cone_reading(const ReadTest& read) {
    const double share = read.finding.hard_share;
    const CompactionReading& table = compaction_by_table(share);
    return fmt::format(
        "{:.0f} % of {} readings above 300 psi: {} (common practice, no source); by Penn State's table "
        "(2002, from "
        "memory) compaction {}, subsoiling {}",
        100 * share, read.test.pressures_pa.size(), loosening_name(loosening_by_practice(share)),
        table.compaction, table.subsoil ? "yes" : "no");
}

/// Share of the ground with a value, and the least and greatest.
struct Known {
    double share = 0;
    double least = NAN;
    double greatest = NAN;
};

template <class Value, class Says>
Known known_of(const Field<Value>& values, const Ground& ground, Says says) {
    Known known;
    if (values.empty()) return known;
    std::size_t all = 0;
    std::size_t told = 0;
    for (std::size_t c = 0; c < values.size(); ++c) {
        if (ground.known[c] == 0) continue;
        ++all;
        if (!says(values[c])) continue;
        ++told;
        known.least = std::fmin(known.least, static_cast<double>(values[c]));
        known.greatest = std::fmax(known.greatest, static_cast<double>(values[c]));
    }
    known.share = all > 0 ? static_cast<double>(told) / static_cast<double>(all) : 0;
    return known;
}

class FactTable {
  public:
    explicit FactTable(const Ground& ground) : ground_(ground) {}
    template <class Enum, class Name>
    void add_class(const char* what, const Field<std::uint8_t>& values, Name name) {
        const Known known = known_of(values, ground_, [](std::uint8_t v) { return v != 255; });
        const auto word = [&name](double k) {
            return std::string(name(static_cast<Enum>(static_cast<int>(k))));
        };
        if (known.share > 0) add(what, known.share, word(known.least), word(known.greatest));
    }
    template <class Text>
    void add_number(const char* what, const Field<float>& values, Text text) {
        const Known known = known_of(values, ground_, [](float v) { return !std::isnan(v); });
        if (known.share > 0) add(what, known.share, text(known.least), text(known.greatest));
    }
    TextTable table{{"soil", "known of the ground", "from", "to"}, {}, false};

  private:
    void add(const char* what, double share, const std::string& least, const std::string& greatest) {
        const bool little = share < 0.01;
        table.rows.push_back({what, fmt::format("{:.{}f} %", 100 * share, little ? 1 : 0), least, greatest});
    }
    const Ground& ground_;
};

std::string facts_text(const SoilFacts& facts, const Ground& ground, PeopleUnits units) {
    const auto deep = [units](double m) { return people_text(m, height, units); };
    const auto shallow = [units](double m) { return people_text(m, small_depth, units); };
    FactTable table(ground);
    table.add_class<DrainageClass>("drainage class", facts.drainage_class, drainage_name);
    table.add_number("water table, shallowest of the year", facts.table_depth_year_m, deep);
    table.add_number("water table, April to June", facts.table_depth_spring_m, deep);
    table.add_number("depth to what stops roots", facts.floor_depth_m, deep);
    table.add_class<WaterFrequency>("flooding", facts.flooding, frequency_name);
    table.add_class<WaterFrequency>("ponding", facts.ponding, frequency_name);
    table.add_class<HydrologicGroup>("hydrologic group", facts.hydrologic_group, group_name);
    table.add_number("pH", facts.ph, [](double v) { return fmt::format("{:.1f}", v); });
    table.add_number("available water, top metre", facts.available_water_m, shallow);
    table.add_number("saturated conductivity", facts.conductivity_m_s,
                     [units](double v) { return hourly(v, units); });
    table.add_number("share of penetrometer readings too hard", facts.hard_share,
                     [](double v) { return fmt::format("{:.0f} %", 100 * v); });
    return to_text(table.table);
}

}  // namespace

std::string test_reading(const ReadTest& test, std::string_view crop, PeopleUnits units) {
    switch (test.test.kind) {
        case TestKind::percolation:
            return percolation_reading(test, units);
        case TestKind::pit:
            return pit_reading(test, crop, units);
        case TestKind::ph:
            return fmt::format("pH {:.1f}, mean of {}", test.finding.ph, test.test.ph.size());
        case TestKind::penetrometer:
            return cone_reading(test);
    }
    return {};
}

std::string soil_text(const SoilKnowledge& soil, const Site& site, const Dem& dem) {
    if (!site.soil.known()) return {};
    std::string text = "\n";
    for (const SoilColumnChoice& c : site.soil.reading.columns)
        text += fmt::format("Soil column {}: {}{}{}.\n", c.attribute, c.column, c.unit.empty() ? "" : ", ",
                            c.unit);
    for (const auto& [own, meant] : site.soil.reading.words)
        text += fmt::format("Soil word {}: {}.\n", own, meant);
    for (const auto& [key, path] : site.soil.maps)
        text += fmt::format("Soil map {}: {}.\n", key, path.string());
    if (site.soil.survey)
        text += fmt::format("Soil survey: {} outlines on the ground, {} different soils.\n", soil.outlines,
                            soil.units);
    text += facts_text(soil.facts, dem.ground, site.units);
    const std::string crop = site.crop.kind.value_or("");
    for (const ReadTest& test : soil.tests)
        text += fmt::format("Test {} ({}): {}.\n", test.test.name, test_kind_name(test.test.kind),
                            test_reading(test, crop, site.units));
    return text;
}

}  // namespace lielow
