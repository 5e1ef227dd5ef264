// SPDX-License-Identifier: Apache-2.0
// Remedies in the ground: pipes and ditches, beds that raise roots.
#pragma once

#include <string>
#include <vector>

#include "sim/soil.hpp"
#include "tools/site_run.hpp"

namespace lielow {

/// Whether any remedy in force is of that kind.
bool is_done(const Site& site, RemedyKind kind);

/// Adds the ditches of the remedies in force, and pipes in the fields that they name.
void add_remedy_drains(const Site& site, const Dem& dem, const std::vector<FarmField>& fields,
                       const Soil& soil, GroundDrains& drains);

/// Height of the beds of the remedies in force, m above the surface, 0 where there are none; of several in
/// one field the highest. A cell belongs to a bed when most of it lies in the field. Empty without any.
Field<float> remedy_beds(const Site& site, const Dem& dem, const std::vector<FarmField>& fields);

}  // namespace lielow
