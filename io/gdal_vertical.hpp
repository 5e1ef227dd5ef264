// SPDX-License-Identifier: Apache-2.0
// Private to io/: what unit a DEM's heights are in. Never guessed.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "io/gdal_session.hpp"

namespace lielow::gdal {

struct VerticalUnit {
    std::string name;   ///< "m", "ft" or "us-ft"
    double metres = 1;  ///< in one unit
    std::string from;   ///< "vertical CRS", "band unit" or "site file"
};

/// The site file's word wins (with a note where the file says otherwise), then the vertical CRS or third axis
/// of `crs`, then the band's unit text. Throws InputError in one line when the two of the file contradict
/// each other, when neither says it, when either is in a unit that isn't metres or feet, and when the CRS
/// counts downward. `key_prefix`: DemRequest's.
VerticalUnit vertical_unit(const OGRSpatialReference& crs, const std::string& band_unit,
                           const std::optional<std::string>& requested, const std::string& file,
                           std::vector<std::string>& notes, const std::string& key_prefix);

}  // namespace lielow::gdal
