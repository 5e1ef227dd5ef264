// SPDX-License-Identifier: Apache-2.0
// Keys of the limits by which ground is called fit for the crop, in pairs: planted as it is, and with work.
#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>

#include "io/crop_needs.hpp"
#include "io/nearest_name.hpp"
#include "io/number_text.hpp"
#include "io/site_key_groups.hpp"
#include "sim/errors.hpp"

namespace lielow {
namespace {

constexpr std::string_view own_choice = "a choice of this program, no published source";
constexpr std::string_view common_practice = "common practice, no published source";
const std::vector<std::string_view> drainage_choices{"excessively",     "somewhat excessively", "well",
                                                     "moderately well", "somewhat poorly",      "poorly",
                                                     "very poorly"};
const std::vector<std::string_view> frequency_choices{"none",       "very rare", "rare",
                                                      "occasional", "frequent",  "very frequent"};

SiteKey share_key(std::string_view name, std::string_view fallback, std::string_view meaning,
                  std::string_view source, void (*set)(Site&, const SiteValue&)) {
    return {.name = name,
            .kind = KeyKind::number,
            .low = "0",
            .high = "1",
            .example = fallback,
            .fallback = fallback,
            .meaning = meaning,
            .source = source,
            .set = set};
}

SiteKey depth_key(std::string_view name, std::string_view high, std::string_view fallback,
                  std::string_view meaning, std::string_view source, void (*set)(Site&, const SiteValue&)) {
    return {.name = name,
            .kind = KeyKind::quantity,
            .low = "0 in",
            .high = high,
            .example = fallback.empty() ? R"("30 in" or "0.75 m")" : fallback,
            .fallback = fallback,
            .meaning = meaning,
            .source = source,
            .set = set};
}

SiteKey wet_key(std::string_view name, std::string_view fallback, std::string_view meaning,
                std::string_view source, void (*set)(Site&, const SiteValue&)) {
    return {.name = name,
            .kind = KeyKind::quantity,
            .dimension = Dimension::time,
            .low = "0 h",
            .high = "60 days",
            .example = fallback,
            .fallback = fallback,
            .meaning = meaning,
            .source = source,
            .set = set};
}

SiteKey choice_key(std::string_view name, std::vector<std::string_view> choices, std::string_view fallback,
                   std::string_view meaning, std::string_view source, void (*set)(Site&, const SiteValue&)) {
    return {.name = name,
            .kind = KeyKind::choice,
            .choices = std::move(choices),
            .fallback = fallback,
            .meaning = meaning,
            .source = source,
            .set = set};
}

SiteKey ph_key(std::string_view name, std::string_view example, std::string_view meaning,
               void (*set)(Site&, const SiteValue&)) {
    return {.name = name,
            .kind = KeyKind::number,
            .low = "3",
            .high = "10",
            .example = example,
            .otherwise = "the crop's; where none is known pH isn't judged",
            .meaning = meaning,
            .set = set};
}

FactorSet factors_in(std::string_view text) {
    FactorSet factors;
    while (!text.empty()) {
        const auto comma = std::min(text.find(','), text.size());
        const std::string_view name = trim(text.substr(0, comma));
        text.remove_prefix(std::min(comma + 1, text.size()));
        const auto* at = std::find(siting_factor_names.begin(), siting_factor_names.end(), name);
        if (at == siting_factor_names.end())
            throw InputError(
                fmt::format("siting.necessary: there is no factor \"{}\"; the nearest is \"{}\" of: {}", name,
                            nearest_name(name, siting_factor_names), fmt::join(siting_factor_names, ", ")));
        factors.set(static_cast<std::size_t>(at - siting_factor_names.begin()));
    }
    return factors;
}

std::vector<SiteKey> frost_keys() {
    return {
        {.name = "siting.years_plant",
         .kind = KeyKind::number,
         .low = "1",
         .high = "100",
         .example = "5",
         .fallback = "5",
         .meaning = "ground with a damaging spring no more often than one in so many may be planted as it is",
         .source = own_choice,
         .set = [](Site& s, const SiteValue& v) { s.siting.years_plant = v.number; }},
        {.name = "siting.years_work",
         .kind = KeyKind::number,
         .low = "1",
         .high = "100",
         .example = "3",
         .fallback = "3",
         .meaning = "with one more often than in so many springs it is not for the crop",
         .source = own_choice,
         .set = [](Site& s, const SiteValue& v) { s.siting.years_work = v.number; }},
        share_key(
            "siting.loss_plant", "0.1",
            "without a thermometer's record: share of the flowers killed in the night pictured, up to "
            "which ground may be planted as it is",
            "10 to 15 % of the flowers of apple, pear and peach make a crop, so 10 % lost are borne; the "
            "first temperature that tables publish",
            [](Site& s, const SiteValue& v) { s.siting.loss_plant = v.number; }),
        share_key("siting.loss_work", "0.5", "the share up to which it may with work", own_choice,
                  [](Site& s, const SiteValue& v) { s.siting.loss_work = v.number; }),
    };
}

std::vector<SiteKey> water_limit_keys() {
    return {
        depth_key(
            "siting.pond_plant", "10 ft", R"("1 in")",
            "depth of water that stays behind after the storm, up to which ground may be planted as it is",
            own_choice, [](Site& s, const SiteValue& v) { s.siting.pond_plant_m = v.number; }),
        depth_key("siting.pond_work", "10 ft", R"("12 in")", "the depth up to which it may with work",
                  "as much as a bed lifts: tops of beds for cherries at least 12 in above grade (Pacific "
                  "Northwest Plant Disease Management Handbook)",
                  [](Site& s, const SiteValue& v) { s.siting.pond_work_m = v.number; }),
        wet_key(
            "siting.wet_plant", R"("24 h")",
            "time under water or with water in the root zone, up to which ground may be planted as it is; "
            "not given, the crop's where it is known",
            "24 hours or more of saturated soil favor root rot of cherries (University of California, "
            "Integrated Pest Management)",
            [](Site& s, const SiteValue& v) { s.siting.wet_plant_s = v.number; }),
        wet_key("siting.wet_work", R"("48 h")",
                "the time up to which it may with work; not given, the crop's where it is known",
                "48 hours in saturated ground are enough to kill a peach tree (Clemson University Extension)",
                [](Site& s, const SiteValue& v) { s.siting.wet_work_s = v.number; }),
        choice_key(
            "siting.flooding_plant", frequency_choices, R"("rare")",
            "how often a stream floods the ground, or it ponds by the soil survey, up to which it may be "
            "planted as it is",
            "rare is 1 to 5 years in 100 (NRCS National Soil Survey Handbook); the limit is a choice of "
            "this program",
            [](Site& s, const SiteValue& v) {
                s.siting.flooding_plant = water_frequency_named(v.text).value();
            }),
        choice_key("siting.flooding_work", frequency_choices, R"("occasional")",
                   "how often, up to which it may with work",
                   "occasional is 5 to 50 years in 100 (NRCS National Soil Survey Handbook); the limit is a "
                   "choice of this program",
                   [](Site& s, const SiteValue& v) {
                       s.siting.flooding_work = water_frequency_named(v.text).value();
                   }),
        choice_key(
            "siting.drainage_plant", drainage_choices, R"("moderately well")",
            "wettest drainage class of ground that may be planted as it is; not given, the crop's where "
            "it is known",
            common_practice,
            [](Site& s, const SiteValue& v) {
                s.siting.drainage_plant = drainage_class_named(v.text).value();
            }),
        choice_key(
            "siting.drainage_work", drainage_choices, R"("somewhat poorly")",
            "the wettest that may with work; not given, the crop's where it is known",
            "a hydric soil is never a base for an orchard (University of Vermont, orchard site selection)",
            [](Site& s, const SiteValue& v) {
                s.siting.drainage_work = drainage_class_named(v.text).value();
            }),
    };
}

std::vector<SiteKey> soil_limit_keys() {
    SiteKey table = depth_key("siting.table_plant", "20 ft", {},
                              "depth of the shallowest water table from which ground may be planted as it is",
                              {}, [](Site& s, const SiteValue& v) { s.siting.table_plant_m = v.number; });
    table.otherwise = "drain.root_depth, or the crop's";
    SiteKey shallow =
        depth_key("siting.soil_depth_work", "20 ft", {}, "the depth from which it may with work", {},
                  [](Site& s, const SiteValue& v) { s.siting.soil_depth_work_m = v.number; });
    shallow.otherwise = "less by the height of a bed, drain.bed_height";
    return {
        table,
        depth_key(
            "siting.table_work", "20 ft", R"("10 in")", "the depth from which it may with work",
            "free water below 25 cm is that of somewhat poorly drained ground, above it of poorly drained "
            "(Soil Survey Manual, USDA Handbook 18, chapter 3)",
            [](Site& s, const SiteValue& v) { s.siting.table_work_m = v.number; }),
        depth_key(
            "siting.soil_depth_plant", "20 ft", R"("30 in")",
            "depth of ground above rock or hardpan from which it may be planted as it is; not given, the "
            "crop's where it is known",
            "apples want 30 in above rock, hardpan or water table (University of Vermont, orchard site "
            "selection)",
            [](Site& s, const SiteValue& v) { s.siting.soil_depth_plant_m = v.number; }),
        shallow,
        ph_key("siting.ph_low", "4.5", "lowest pH of ground that may be planted as it is",
               [](Site& s, const SiteValue& v) { s.siting.ph_low = v.number; }),
        ph_key("siting.ph_high", "5.0", "highest pH of such ground",
               [](Site& s, const SiteValue& v) { s.siting.ph_high = v.number; }),
        {.name = "siting.ph_lime",
         .kind = KeyKind::number,
         .low = "0",
         .high = "5",
         .example = "1.5",
         .fallback = "1.5",
         .meaning = "how far below that band lime still makes the ground fit",
         .source = own_choice,
         .set = [](Site& s, const SiteValue& v) { s.siting.ph_lime = v.number; }},
        {.name = "siting.ph_sulfur",
         .kind = KeyKind::number,
         .low = "0",
         .high = "5",
         .example = "1",
         .fallback = "1",
         .meaning = "how far above it sulfur does",
         .source = own_choice,
         .set = [](Site& s, const SiteValue& v) { s.siting.ph_sulfur = v.number; }},
        share_key(
            "siting.hard_plant", "0.5",
            "share of the penetrometer's readings above 300 psi, up to which ground may be planted as it is",
            "subsoiling from 50 % on (Duiker 2002, Penn State Agronomy Facts 63, from memory)",
            [](Site& s, const SiteValue& v) { s.siting.hard_plant = v.number; }),
        share_key("siting.hard_work", "1", "the share up to which it may with work",
                  "hard ground can be loosened: common practice, no published source",
                  [](Site& s, const SiteValue& v) { s.siting.hard_work = v.number; }),
    };
}

std::vector<SiteKey> other_limit_keys() {
    return {
        share_key(
            "siting.slope_plant", "0.1",
            "slope, rise over run, up to which ground may be planted as it is; not given, the crop's where "
            "it is known",
            "above 10 % an orchard is hard to work (University of Vermont, orchard site selection)",
            [](Site& s, const SiteValue& v) { s.siting.slope_plant = v.number; }),
        share_key("siting.slope_work", "0.2", "the slope up to which it may with work", common_practice,
                  [](Site& s, const SiteValue& v) { s.siting.slope_work = v.number; }),
        depth_key("siting.water_plant", "20 in", R"("4 in")",
                  "water that the top metre holds for plants, from which ground may be planted as it is",
                  "a tenth of the depth, as in profiles called moderate: 6 to 9 in within 60 in (NRCS)",
                  [](Site& s, const SiteValue& v) { s.siting.water_plant_m = v.number; }),
        depth_key("siting.water_work", "20 in", R"("0 in")", "the water from which it may with work",
                  "dry ground can be watered: common practice, no published source",
                  [](Site& s, const SiteValue& v) { s.siting.water_work_m = v.number; }),
        {.name = "siting.necessary",
         .example = R"("frost, standing water, soil wetness, soil depth, soil pH")",
         .fallback = R"("frost, standing water, soil wetness, soil depth, soil pH")",
         .meaning = "factors without which no ground is called fit to plant, with commas between them",
         .source = own_choice,
         .set = [](Site& s, const SiteValue& v) { s.siting.necessary = factors_in(v.text); }},
    };
}

}  // namespace

std::vector<SiteKey> siting_keys() {
    std::vector<SiteKey> keys = frost_keys();
    for (const auto& more : {water_limit_keys(), soil_limit_keys(), other_limit_keys()})
        keys.insert(keys.end(), more.begin(), more.end());
    return keys;
}

}  // namespace lielow
