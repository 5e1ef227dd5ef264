// SPDX-License-Identifier: Apache-2.0
// Everything a site file's survey and field tests say of the soil.
#pragma once

#include <string>
#include <vector>

#include "io/dem.hpp"
#include "io/fields.hpp"
#include "io/site.hpp"
#include "sim/field_tests.hpp"
#include "sim/soil_facts.hpp"

namespace lielow {

struct ReadTest {
    FieldTest test;
    SoilFinding finding;
};

struct SoilKnowledge {
    SoilFacts facts;      ///< survey with the tests laid over it
    SoilFacts by_survey;  ///< its drainage class before the tests, and the weight of tests that tell a class
    std::size_t outlines = 0;  ///< of the survey on the ground
    std::size_t units = 0;     ///< different soils among them
    std::vector<ReadTest> tests;
};

/// Reads survey, maps and tests. Empty members where the site names none. Throws InputError.
SoilKnowledge site_soil_knowledge(const Site& site, const Dem& dem, const std::vector<FarmField>& fields,
                                  std::vector<std::string>& notes);

/// The facts alone.
SoilFacts site_soil_facts(const Site& site, const Dem& dem, const std::vector<FarmField>& fields,
                          std::vector<std::string>& notes);

}  // namespace lielow
