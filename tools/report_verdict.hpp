// SPDX-License-Identifier: Apache-2.0
// What the report says of a field in a sentence.
#pragma once

#include <string>

#include "io/people_units.hpp"
#include "io/summary.hpp"

namespace lielow {

/// Cold, springs and standing water of one field, as far as they were computed; without the field's name.
std::string field_verdict(const FieldRecord& field, PeopleUnits units);

}  // namespace lielow
