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
#include "sim/ground_tiles.hpp"

namespace lielow {

struct ReferenceSpot {
    std::size_t cell = 0;
    double x = 0;  ///< of the cell's middle, in the ground's CRS
    double y = 0;
    double elevation_m = 0;  ///< of its ground
    std::string text;        ///< how people are told of it
};

/// By night.reference: "highest" ground inside the fields, the highest ground of a field named, or a map
/// position. The first of equal cells. Throws InputError when there is no such field, or the position has no
/// ground.
ReferenceSpot find_reference_spot(const Site& site, const Dem& dem, const std::vector<FarmField>& fields);

/// The same of ground without fields that isn't held in memory: `read` hands over its heights, NaN where
/// there is none, in whole rows, at most `most_cells` cells at once but no less than a row. Throws InputError
/// for a field's name, too.
ReferenceSpot find_reference_spot(const Site& site, const Grid& grid, const GeoReference& geo,
                                  const ReadWindow<float>& read, std::size_t most_cells);

/// Cell under a map position; nothing where the DEM has no ground.
std::optional<std::size_t> cell_at(const Dem& dem, double x, double y);

}  // namespace lielow
