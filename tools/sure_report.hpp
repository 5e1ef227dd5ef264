// SPDX-License-Identifier: Apache-2.0
// How sure the siting is, and where to look next, as the report on stdout tells it.
#pragma once

#include <string>

#include "io/summary.hpp"

namespace lielow {

/// Empty without an ensemble and without spots.
std::string sure_report(const Summary& summary, PeopleUnits units);

}  // namespace lielow
