// SPDX-License-Identifier: Apache-2.0
// Keys of [tune]: loggers that the night's parameters are fitted to. The ranges are read by
// io/tune_ranges.cpp.
#include "io/site_key_groups.hpp"

namespace lielow {
namespace {

constexpr std::string_view own_choice = "a choice of this program, no published source";

TuneDesign design_from(std::string_view text) {
    if (text == "grid") return TuneDesign::grid;
    return text == "latin" ? TuneDesign::latin : TuneDesign::sobol;
}

TuneSensitivity sensitivity_from(std::string_view text) {
    if (text == "morris") return TuneSensitivity::morris;
    return text == "variance" ? TuneSensitivity::variance : TuneSensitivity::none;
}

}  // namespace

std::vector<SiteKey> tune_keys() {
    return {
        {.name = "tune.records",
         .kind = KeyKind::path,
         .example = R"("loggers.csv")",
         .otherwise = "nothing is tuned",
         .meaning = "readings of temperature loggers in the night of night.date: a table with the columns "
                    "spot (or x, y), time and temperature_degF",
         .needed_for = "tune",
         .set = [](Site& s, const SiteValue& v) { s.tune.records = v.path; }},
        {.name = "tune.design",
         .kind = KeyKind::choice,
         .choices = {"sobol", "latin", "grid"},
         .fallback = R"("sobol")",
         .meaning =
             "how the first trials are spread over the ranges: Sobol's sequence, a Latin hypercube, or "
             "every combination of evenly spread values",
         .source = own_choice,
         .set = [](Site& s, const SiteValue& v) { s.tune.design = design_from(v.text); }},
        {.name = "tune.trials",
         .kind = KeyKind::whole_number,
         .low = "1",
         .high = "10000",
         .example = "16",
         .fallback = "16",
         .meaning = "trials of that design; a grid takes the most it can within this number",
         .source = own_choice,
         .set = [](Site& s, const SiteValue& v) { s.tune.trials = static_cast<int>(v.number); }},
        {.name = "tune.seed",
         .kind = KeyKind::whole_number,
         .low = "0",
         .high = "1000000000",
         .example = "1",
         .fallback = "1",
         .meaning = "where the random numbers of a Latin hypercube and of Morris's paths start",
         .source = own_choice,
         .set = [](Site& s, const SiteValue& v) { s.tune.seed = static_cast<std::uint64_t>(v.number); }},
        {.name = "tune.cell",
         .kind = KeyKind::quantity,
         .low = "0 m",
         .high = "1 km",
         .example = R"("60 ft" or "20 m")",
         .otherwise = "as night.cell; without that, chosen so that a trial takes a sixth of a night's work",
         .meaning = "cell size on which the trials' nights are solved",
         .set = [](Site& s, const SiteValue& v) { s.tune.cell_m = v.number; }},
        {.name = "tune.sensitivity",
         .kind = KeyKind::choice,
         .choices = {"none", "morris", "variance"},
         .fallback = R"("none")",
         .meaning = "further trials that show which parameters the error hangs on: elementary effects, or "
                    "shares of its variance",
         .source = "it costs further trials",
         .set = [](Site& s, const SiteValue& v) { s.tune.sensitivity = sensitivity_from(v.text); }},
        {.name = "tune.paths",
         .kind = KeyKind::whole_number,
         .low = "2",
         .high = "10000",
         .example = "8",
         .fallback = "8",
         .meaning = "Morris's paths, or base samples of the variance: each costs trials by the number of "
                    "parameters and one or two more",
         .source =
             "4 to 10 paths are usual for elementary effects (Campolongo, Cariboni & Saltelli 2007, from "
             "memory); shares of variance want hundreds",
         .set = [](Site& s, const SiteValue& v) { s.tune.paths = static_cast<int>(v.number); }},
    };
}

}  // namespace lielow
