// SPDX-License-Identifier: Apache-2.0
// What a person reads on stdout after a run, in the site's units.
#pragma once

#include <string>

#include "io/people_units.hpp"
#include "io/summary.hpp"

namespace lielow {

/// The night and the water, a table of the fields for each with what its figures mean; then notes and
/// cautions.
std::string run_report(const Summary& summary, PeopleUnits units);

}  // namespace lielow
