// SPDX-License-Identifier: Apache-2.0
// What a person reads on stdout after a run, in the site's units.
#pragma once

#include <string>

#include "io/people_units.hpp"
#include "io/summary.hpp"

namespace lielow {

/// One line a field, the ground's hollows, and the cautions.
std::string run_report(const Summary& summary, PeopleUnits units);

}  // namespace lielow
