// SPDX-License-Identifier: Apache-2.0
// Variants of a comparison run, or kept from an earlier comparison.
#pragma once

#include <filesystem>
#include <span>
#include <string>

#include "io/dem.hpp"
#include "tools/compare_variants.hpp"
#include "tools/progress.hpp"

namespace lielow {

/// A raster whose change by a remedy is written.
struct ChangeRaster {
    std::string_view of;    ///< "night_low"
    std::string_view what;  ///< "Lowest air temperature of the night"
    std::string_view unit;
};
std::span<const ChangeRaster> change_rasters();

/// Checksum of everything a variant's results hang on: version, parts, settings, inputs, remedies, and the
/// same of the base that its changes are counted from.
std::string variant_key(const Variant& variant, const std::string& base_key);

/// Runs the variant's parts into `out`/FOLDER through the same code as `lielow run`, and writes there
/// changes/RASTER_change.tif against the base's; nothing where no part is touched. A folder that is whole and
/// has the same key is left as it is. What an older comparison left in the folder is taken away. Returns
/// whether it ran.
bool run_variant(const Variant& variant, const Dem& dem, const std::string& key,
                 const std::filesystem::path& out, Progress& progress);

}  // namespace lielow
