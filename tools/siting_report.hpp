// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

#include "io/people_units.hpp"
#include "io/summary.hpp"

namespace lielow {

/// The fields by their rank: areas by class, and a sentence each; with an empty line after it. Empty where
/// the siting wasn't run.
std::string siting_report(const Summary& summary, PeopleUnits units);

}  // namespace lielow
