// SPDX-License-Identifier: Apache-2.0
// Keys of what is known of the soil: survey and tests in the field.
#include "io/site_key_groups.hpp"

namespace lielow {

std::vector<SiteKey> soil_survey_keys() {
    return {
        {.name = "soil.survey",
         .kind = KeyKind::path,
         .example = R"("soil.gpkg")",
         .otherwise = "no survey",
         .meaning = "soil survey: outlines with their attributes, or a raster of soil units",
         .set = [](Site& s, const SiteValue& v) { s.soil.survey = v.path; }},
        {.name = "soil.survey_table",
         .kind = KeyKind::path,
         .example = R"("units.csv")",
         .otherwise = "the attributes stand with the outlines",
         .meaning = "table of comma-separated values with a row for each soil unit, where the attributes "
                    "stand apart",
         .set = [](Site& s, const SiteValue& v) { s.soil.survey_table = v.path; }},
        {.name = "soil.survey_key",
         .kind = KeyKind::text,
         .example = R"("mukey")",
         .fallback = R"("mukey")",
         .meaning =
             "column and attribute by which that table is joined to the survey; a raster's number itself",
         .source = "the US soil survey's name of its map units' key",
         .set = [](Site& s, const SiteValue& v) { s.soil.survey_key = v.text; }},
        {.name = "soil.tests",
         .kind = KeyKind::path,
         .example = R"("tests.csv")",
         .otherwise = "no tests of mixed kinds",
         .meaning = "tests made in the field, each with its kind: percolation, pit, ph or penetrometer",
         .set = [](Site& s, const SiteValue& v) { s.soil.tests = v.path; }},
        {.name = "soil.percolation_tests",
         .kind = KeyKind::path,
         .example = R"("percolation.csv")",
         .otherwise = "no further ones",
         .meaning = "percolation tests in holes, in a table of their own",
         .set = [](Site& s, const SiteValue& v) { s.soil.percolation_tests = v.path; }},
        {.name = "soil.pits",
         .kind = KeyKind::path,
         .example = R"("pits.csv")",
         .otherwise = "no further ones",
         .meaning = "soil pits and auger holes with their layers and their water, in a table of their own",
         .set = [](Site& s, const SiteValue& v) { s.soil.pits = v.path; }},
        {.name = "soil.ph_samples",
         .kind = KeyKind::path,
         .example = R"("ph.csv")",
         .otherwise = "no further ones",
         .meaning = "pH samples in a table of their own",
         .set = [](Site& s, const SiteValue& v) { s.soil.ph_samples = v.path; }},
        {.name = "soil.penetrometer",
         .kind = KeyKind::path,
         .example = R"("penetrometer.csv")",
         .otherwise = "no further ones",
         .meaning = "readings of a cone penetrometer in a table of their own",
         .set = [](Site& s, const SiteValue& v) { s.soil.penetrometer = v.path; }},
        {.name = "soil.test_reach",
         .kind = KeyKind::quantity,
         .low = "1 ft",
         .high = "1 mi",
         .example = R"("150 ft" or "50 m")",
         .fallback = R"("150 ft")",
         .meaning = "distance to which a test in the field counts: wholly where it stands, less and less on "
                    "the way, "
                    "not at all from there on",
         .source = "a choice of this program, no published source",
         .set = [](Site& s, const SiteValue& v) { s.soil.test_reach_m = v.number; }},
    };
}

}  // namespace lielow
