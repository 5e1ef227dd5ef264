// SPDX-License-Identifier: Apache-2.0
// What a person reads on stdout after a run, in the site's units.
#pragma once

#include <string>

#include "io/people_units.hpp"
#include "io/summary.hpp"
#include "tools/text_table.hpp"

namespace lielow {

/// The night and the water, a table of the fields for each with what its figures mean; then notes and
/// cautions.
std::string run_report(const Summary& summary, PeopleUnits units);

/// The same tables, for whoever lays them out otherwise; without rows where their part wasn't run.
struct RunTables {
    TextTable night, crop, water, storm, storms, drain;
};
RunTables run_tables(const Summary& summary, PeopleUnits units);

}  // namespace lielow
