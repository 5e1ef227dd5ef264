// SPDX-License-Identifier: Apache-2.0
// Keys of the ensemble, and of the spots to look at next.
#include "io/site_key_groups.hpp"

namespace lielow {
namespace {

constexpr std::string_view own_choice = "a choice of this program, no published source";

/// A factor by which two runs of three stay within the site's own figure, up or down.
SiteKey factor_key(std::string_view name, std::string_view fallback, std::string_view meaning,
                   std::string_view source, void (*set)(Site&, const SiteValue&)) {
    return {.name = name,
            .kind = KeyKind::number,
            .low = "1",
            .high = "100",
            .example = "1.5",
            .fallback = fallback,
            .meaning = meaning,
            .source = source,
            .set = set};
}

std::vector<SiteKey> run_keys() {
    return {
        {.name = "ensemble.runs",
         .kind = KeyKind::whole_number,
         .low = "0",
         .high = "1000",
         .example = "20",
         .fallback = "0",
         .meaning = "how many times the site is run with other errors of the DEM and other figures that "
                    "aren't known well; 0 = none",
         .source = own_choice,
         .set = [](Site& s, const SiteValue& v) { s.ensemble.runs = static_cast<int>(v.number); }},
        {.name = "ensemble.seed",
         .kind = KeyKind::whole_number,
         .low = "0",
         .high = "1000000000",
         .example = "1",
         .fallback = "1",
         .meaning = "number from which the draws follow: the same number gives the same draws",
         .source = own_choice,
         .set = [](Site& s, const SiteValue& v) { s.ensemble.seed = static_cast<std::uint64_t>(v.number); }},
        {.name = "ensemble.night_cell",
         .kind = KeyKind::quantity,
         .low = "0 m",
         .high = "1 km",
         .example = R"("100 ft" or "30 m")",
         .otherwise = "as the site's own night",
         .meaning = "cell size of the nights of the ensemble, to be quicker; how much of each field gets "
                    "another class by that alone is told",
         .set = [](Site& s, const SiteValue& v) { s.ensemble.night_cell_m = v.number; }},
        {.name = "ensemble.agreement",
         .kind = KeyKind::number,
         .low = "0.5",
         .high = "1",
         .example = "0.8",
         .fallback = "0.8",
         .meaning = "share of the runs that must give a place one class for it to count as settled",
         .source = own_choice,
         .set = [](Site& s, const SiteValue& v) { s.ensemble.agreement = v.number; }},
    };
}

std::vector<SiteKey> spread_keys() {
    return {
        {.name = "ensemble.correlation_length",
         .kind = KeyKind::quantity,
         .low = "0 m",
         .high = "1 km",
         .example = R"("100 ft" or "30 m")",
         .fallback = R"("30 m")",
         .meaning =
             "distance over which the errors of the DEM's elevations go together: two cells so far apart "
             "correlate by 1/e; their standard error is ground.vertical_accuracy; 0 m = every cell for "
             "itself",
         .source =
             "the size of patches of tall grass and brush that lift the ground in a laser's eye; a choice "
             "of this program, no published value for farms: try a third and three times of it",
         .set = [](Site& s, const SiteValue& v) { s.ensemble.correlation_length_m = v.number; }},
        factor_key("ensemble.heat_loss_factor", "1.25",
                   "two runs of three take the night's heat loss times or over at most this",
                   "half of 10 to 25 W/m2, clear calm nights, for two standard errors; a choice of this "
                   "program",
                   [](Site& s, const SiteValue& v) { s.ensemble.heat_loss_factor = v.number; }),
        factor_key("ensemble.mixing_factor", "1.5",
                   "the same of the mixing of the night air; its root of calm_friction_velocity",
                   "half of 0.02 to 0.1 m2/s, the usual values, for two standard errors; a choice of this "
                   "program",
                   [](Site& s, const SiteValue& v) { s.ensemble.mixing_factor = v.number; }),
        factor_key("ensemble.conductivity_factor", "2.7",
                   "the same of the soil's conductivity, and of water.soil_conductivity",
                   "within fields it varies by 90 to 190 % (Warrick & Nielsen 1980, Applications of Soil "
                   "Physics, from memory), log-normal: factors of 2.2 to 3.4",
                   [](Site& s, const SiteValue& v) { s.ensemble.conductivity_factor = v.number; }),
        factor_key(
            "ensemble.retention_factor", "1.9",
            "the same of what the ground holds of a storm by its curve number",
            "dry and wet conditions before a storm are 2.281 and 0.427 times the average retention, and "
            "bound four storms of five (Hawkins, Hjelmfelt & Zevenbergen 1985, J. Irrig. Drain. Eng. "
            "111, 330-340, from memory)",
            [](Site& s, const SiteValue& v) { s.ensemble.retention_factor = v.number; }),
    };
}

}  // namespace

std::vector<SiteKey> ensemble_keys() {
    std::vector<SiteKey> keys = run_keys();
    for (SiteKey& key : spread_keys()) keys.push_back(std::move(key));
    return keys;
}

std::vector<SiteKey> look_keys() {
    return {
        {.name = "look.thermometers",
         .kind = KeyKind::whole_number,
         .low = "0",
         .high = "50",
         .example = "4",
         .fallback = "4",
         .meaning = "for how many thermometers spots are proposed",
         .source = own_choice,
         .set = [](Site& s, const SiteValue& v) { s.look.thermometers = static_cast<int>(v.number); }},
        {.name = "look.auger_holes",
         .kind = KeyKind::whole_number,
         .low = "0",
         .high = "50",
         .example = "6",
         .fallback = "6",
         .meaning = "for how many auger holes or pits",
         .source = own_choice,
         .set = [](Site& s, const SiteValue& v) { s.look.auger_holes = static_cast<int>(v.number); }},
        {.name = "look.apart",
         .kind = KeyKind::quantity,
         .low = "0 m",
         .high = "10 km",
         .example = R"("100 ft" or "30 m")",
         .fallback = R"("30 m")",
         .meaning = "how far apart two spots for the same thing lie at least, and from station.place",
         .source = own_choice,
         .set = [](Site& s, const SiteValue& v) { s.look.apart_m = v.number; }},
    };
}

}  // namespace lielow
