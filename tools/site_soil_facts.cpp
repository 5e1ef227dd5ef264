// SPDX-License-Identifier: Apache-2.0
#include "tools/site_soil_facts.hpp"

#include <fmt/format.h>

#include "io/field_test_file.hpp"
#include "io/soil_survey.hpp"
#include "sim/errors.hpp"
#include "sim/test_overlay.hpp"

namespace lielow {
namespace {

void add_tests(const std::optional<std::filesystem::path>& file, std::optional<TestKind> kind, const Dem& dem,
               const std::vector<FarmField>& fields, std::vector<std::string>& notes,
               std::vector<ReadTest>& tests) {
    if (!file) return;
    for (FieldTest& test : read_field_tests(*file, kind, dem.ground.grid, dem.geo, fields, notes)) {
        try {
            const SoilFinding finding = finding_of(test);
            tests.push_back({std::move(test), finding});
        } catch (const InputError& error) {
            throw InputError(fmt::format("{}: \"{}\": {}", file->string(), test.name, error.what()));
        }
    }
}

std::vector<ReadTest> read_tests(const Site& site, const Dem& dem, const std::vector<FarmField>& fields,
                                 std::vector<std::string>& notes) {
    const SoilSettings& soil = site.soil;
    std::vector<ReadTest> tests;
    add_tests(soil.tests, std::nullopt, dem, fields, notes, tests);
    add_tests(soil.percolation_tests, TestKind::percolation, dem, fields, notes, tests);
    add_tests(soil.pits, TestKind::pit, dem, fields, notes, tests);
    add_tests(soil.ph_samples, TestKind::ph, dem, fields, notes, tests);
    add_tests(soil.penetrometer, TestKind::penetrometer, dem, fields, notes, tests);
    return tests;
}

}  // namespace

SoilKnowledge site_soil_knowledge(const Site& site, const Dem& dem, const std::vector<FarmField>& fields,
                                  std::vector<std::string>& notes) {
    SoilKnowledge knowledge;
    if (!site.soil.known()) return knowledge;
    const SoilSettings& soil = site.soil;
    SoilSurvey survey =
        read_soil_survey({soil.survey, soil.survey_table, soil.survey_key, soil.reading, soil.maps},
                         dem.ground, dem.geo, notes);
    knowledge.outlines = survey.outlines;
    knowledge.units = survey.units;
    knowledge.facts = std::move(survey.facts);
    if (!knowledge.facts.drainage_class.empty())
        knowledge.by_survey.drainage_class = knowledge.facts.drainage_class.clone();
    knowledge.tests = read_tests(site, dem, fields, notes);
    std::vector<PlacedFinding> placed;
    std::vector<PlacedFinding> telling;
    for (const ReadTest& read : knowledge.tests) {
        placed.push_back({read.test.at_m, read.test.cells, read.finding});
        if (read.finding.drainage != DrainageClass::unknown)
            telling.push_back({read.test.at_m, read.test.cells, {}});
    }
    lay_tests(dem.ground.grid, placed, soil.test_reach_m, knowledge.facts);
    lay_tests(dem.ground.grid, telling, soil.test_reach_m, knowledge.by_survey);
    return knowledge;
}

SoilFacts site_soil_facts(const Site& site, const Dem& dem, const std::vector<FarmField>& fields,
                          std::vector<std::string>& notes) {
    return site_soil_knowledge(site, dem, fields, notes).facts;
}

}  // namespace lielow
