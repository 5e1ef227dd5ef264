// SPDX-License-Identifier: Apache-2.0
// The site file's keys for water: stage, storms, ways.
#include <fmt/format.h>

#include "io/number_text.hpp"
#include "io/site_key_groups.hpp"
#include "sim/errors.hpp"

namespace lielow {
namespace {

constexpr std::string_view own_choice = "a choice of this program, no published source";
constexpr std::string_view common_practice = "common practice, no published source";

/// "1 in, 2 in, 4 in" as depths, m.
std::vector<double> storms_of(std::string_view text) {
    constexpr std::size_t most_storms = 20;
    constexpr double deepest_m = 40 * 0.0254 * (1 + 1e-12);
    std::vector<double> storms;
    for (bool more = true; more;) {
        const auto comma = text.find(',');
        more = comma != std::string_view::npos;
        const std::string_view one = trim(text.substr(0, comma));
        if (more) text.remove_prefix(comma + 1);
        double storm = 0;
        try {
            storm = parse_quantity(one, Dimension::length);
        } catch (const InputError& error) {
            throw InputError(fmt::format("water.storms: {}", error.what()));
        }
        if (!(storm >= 0 && storm <= deepest_m))
            throw InputError(
                fmt::format("water.storms: {} is out of range; it must lie from 0 in to 40 in", one));
        storms.push_back(storm);
    }
    if (storms.size() > most_storms)
        throw InputError(fmt::format("water.storms has {} storms; give at most 20", storms.size()));
    return storms;
}

std::vector<SiteKey> storm_keys() {
    return {
        {.name = "water.storm",
         .kind = KeyKind::quantity,
         .low = "0 in",
         .high = "40 in",
         .example = R"("2.8 in" or "70 mm")",
         .otherwise = "no map of a storm's ponds",
         .meaning = "rain of the storm whose ponds are mapped",
         .set = [](Site& s, const SiteValue& v) { s.water.storm_m = v.number; }},
        {.name = "water.storms",
         .example = R"("1 in, 2 in, 4 in" or "25 mm, 50 mm")",
         .fallback = R"("1 in, 2 in, 3 in, 4 in, 6 in, 8 in")",
         .meaning = "rains of the table of storms, up to 20, each from 0 in to 40 in",
         .source = own_choice,
         .set = [](Site& s, const SiteValue& v) { s.water.storms_m = storms_of(v.text); }},
        {.name = "water.runoff_share",
         .kind = KeyKind::number,
         .low = "0.01",
         .high = "1",
         .example = "0.5",
         .fallback = "1.0",
         .meaning = "share of a storm's rain that runs off, the same everywhere; the rest soaks in where it "
                    "falls; not given, the days after the storm let soak in what finds room",
         .source = "soaked or frozen ground, which takes in nothing: the careful side",
         .set = [](Site& s, const SiteValue& v) { s.water.runoff_share = v.number; }},
        {.name = "water.ponded_from",
         .kind = KeyKind::quantity,
         .low = "0 in",
         .high = "10 ft",
         .example = R"("2 in" or "5 cm")",
         .fallback = R"("1 in")",
         .meaning = "depth of water from which ground counts as ponded",
         .source = own_choice,
         .set = [](Site& s, const SiteValue& v) { s.water.ponded_from_m = v.number; }},
    };
}

}  // namespace

std::vector<SiteKey> water_keys() {
    std::vector<SiteKey> keys = {
        {.name = "water.stage",
         .kind = KeyKind::quantity,
         .low = "0 ft",
         .high = "1000 ft",
         .example = R"("20 ft" or "6 m")",
         .fallback = R"("20 ft")",
         .meaning =
             "height of a level water surface above the low point of each field, and of the whole ground",
         .source = common_practice,
         .set = [](Site& s, const SiteValue& v) { s.water.stage_m = v.number; }}};
    for (SiteKey& key : storm_keys()) keys.push_back(std::move(key));
    keys.push_back({.name = "water.way_area",
                    .kind = KeyKind::quantity,
                    .dimension = Dimension::area,
                    .low = "0.01 acre",
                    .high = "100000 acre",
                    .example = R"("5 acre" or "2 ha")",
                    .fallback = R"("5 acre")",
                    .meaning = "upslope area from which a line of flow counts as a drainage way",
                    .source = own_choice,
                    .set = [](Site& s, const SiteValue& v) { s.water.way_area_m2 = v.number; }});
    keys.push_back({.name = "water.changes",
                    .kind = KeyKind::path,
                    .example = R"("changes.gpkg")",
                    .otherwise = "the ground as the DEM shows it",
                    .meaning = "banks, ditches, culverts and tile lines laid into the ground for the water: "
                               "lines with the attribute kind",
                    .set = [](Site& s, const SiteValue& v) { s.water.changes = v.path; }});
    return keys;
}

}  // namespace lielow
