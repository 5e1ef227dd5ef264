// SPDX-License-Identifier: Apache-2.0
// Results as Cloud-Optimized GeoTIFF: overviews, statistics, description and unit inside the file.
#pragma once

#include <filesystem>
#include <string>

#include "io/georef.hpp"
#include "sim/grid.hpp"

namespace lielow {

/// What a band says of itself.
struct BandLabel {
    std::string name;         ///< also the file's stem
    std::string description;  ///< one sentence
    std::string unit;         ///< as in GeoTIFF's unit type: "m", "degC", "K"
};

/// Writes float32 with nodata -9999 (NaN becomes nodata) to `path` itself, so give it a path in a staging folder.
/// Consumes the values, so that a large raster needn't be held twice. Throws RunError (disk full, not writable).
void write_raster(const std::filesystem::path& path, const GeoReference& geo, Field<float>&& values, const BandLabel& label);

}  // namespace lielow
