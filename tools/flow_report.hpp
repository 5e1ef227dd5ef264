// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

#include "io/people_units.hpp"
#include "io/summary.hpp"

namespace lielow {

/// Where each field's cold comes from, and a table of the named spots; with an empty line after each that is
/// there.
std::string flow_report(const Summary& summary, PeopleUnits units);

}  // namespace lielow
