// SPDX-License-Identifier: Apache-2.0
// The spot other places are compared with.
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "io/dem.hpp"
#include "io/fields.hpp"
#include "io/site.hpp"

namespace lielow {

struct ReferenceSpot {
    std::size_t cell = 0;
    double x = 0;  ///< of the cell's middle, in the ground's CRS
    double y = 0;
    std::string text;  ///< how people are told of it
};

/// By night.reference: "highest" ground inside the fields, the highest ground of a field named, or a map
/// position. The first of equal cells. Throws InputError when there is no such field, or the position has no
/// ground.
ReferenceSpot find_reference_spot(const Site& site, const Dem& dem, const std::vector<FarmField>& fields);

/// Cell under a map position; nothing where the DEM has no ground.
std::optional<std::size_t> cell_at(const Dem& dem, double x, double y);

}  // namespace lielow
