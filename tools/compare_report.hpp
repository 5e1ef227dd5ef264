// SPDX-License-Identifier: Apache-2.0
// A comparison told: for people on stdout, as a table for spreadsheets, for machines.
#pragma once

#include <string>

#include "io/people_units.hpp"
#include "tools/compare_site.hpp"

namespace lielow {

/// Tables of what changes in each field and what is sent on; remedies are numbered.
std::string comparison_text(const Comparison& comparison, PeopleUnits units);

/// One line for each remedy, field and figure: without, with, change, in people's units. Ground as a whole
/// has the field "(ground)".
std::string comparison_csv(const Comparison& comparison, PeopleUnits units);

/// Everything, in SI.
std::string comparison_json(const Comparison& comparison);

}  // namespace lielow
