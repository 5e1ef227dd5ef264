// SPDX-License-Identifier: Apache-2.0
// What survey and tests say, in sentences and tables for people.
#pragma once

#include <string>
#include <string_view>

#include "io/site.hpp"
#include "tools/site_soil_facts.hpp"

namespace lielow {

/// One test in one line. `crop` ("" for none) decides how much of the available water is readily available.
std::string test_reading(const ReadTest& test, std::string_view crop, PeopleUnits units);

/// What was read: outlines, the share of the ground of which each attribute is known, the tests. "" where
/// nothing was.
std::string soil_text(const SoilKnowledge& soil, const Site& site, const Dem& dem);

}  // namespace lielow
