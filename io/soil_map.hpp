// SPDX-License-Identifier: Apache-2.0
// A raster of one property of the ground, on the ground's cells.
#pragma once

#include <filesystem>
#include <optional>
#include <string>

#include "io/georef.hpp"
#include "io/quantity.hpp"
#include "sim/grid.hpp"

namespace lielow {

/// Reads one band of whatever raster GDAL opens and brings it onto the ground's cells, the nearest value for
/// each (soil changes at borders, not between them); NaN where it has none. With a `dimension` the band must
/// say its unit and values come back in SI, else they are pure numbers. `what` names it in messages. Throws
/// InputError in one line: no such file, not a raster, several bands, no CRS, no or a wrong unit.
Field<float> read_soil_map(const std::filesystem::path& path, const std::string& what,
                           std::optional<Dimension> dimension, const Grid& grid, const GeoReference& geo);

}  // namespace lielow
