// SPDX-License-Identifier: Apache-2.0
// Remedies laid on the ground: ditches, fields that are moved.
#pragma once

#include <string>
#include <vector>

#include "io/fields.hpp"
#include "io/georef.hpp"
#include "io/remedy.hpp"
#include "sim/ground_changes.hpp"

namespace lielow {

/// The ditches of a remedy as changes to the ground, their beds falling evenly from `depth` below the ground
/// at the upper end, where the line begins, to the same below it at the lower. `file` is the site file as
/// messages name it. Throws InputError in one line: a shape that is no line, or lies outside the ground.
std::vector<GroundChange> remedy_ditches(const Remedy& remedy, const std::string& file, const Grid& grid,
                                         const GeoReference& geo, std::vector<std::string>& notes);

/// Puts the field of a remedy "moved field" where it would lie. Throws InputError in one line: no field of
/// that name, outside the ground, no or several outlines in the remedy's file.
void move_field(const Remedy& remedy, const std::string& file, const Grid& grid, const GeoReference& geo,
                std::vector<FarmField>& fields, std::vector<std::string>& notes);

/// Throws InputError when the remedy names a field that isn't there.
void check_remedy_fields(const Remedy& remedy, const std::string& file, const std::vector<FarmField>& fields);

}  // namespace lielow
