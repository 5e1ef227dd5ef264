// SPDX-License-Identifier: Apache-2.0
// A run's rasters as an item of a SpatioTemporal Asset Catalog (STAC 1.1.0), so that catalogues find them.
#pragma once

#include <chrono>
#include <filesystem>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "io/georef.hpp"
#include "sim/grid.hpp"

namespace lielow {

/// A file beside the rasters.
struct StacFile {
    std::string key;
    std::string href;  ///< from the item's folder
    std::string type;  ///< media type
    std::string title;
    std::string role;  ///< "data", "metadata", "overview"
};

struct StacItem {
    std::string id;
    std::string title;
    std::string description;
    /// UTC, RFC 3339: from when to when the results hold. Nothing = they hold for no time in particular: the
    /// standard then asks for two ends, and gets the first and the last instant it can write.
    std::optional<std::pair<std::string, std::string>> span;
    std::vector<std::pair<std::string, std::string>> software;  ///< name and version
    GeoReference geo;
    Grid grid;
    std::vector<std::filesystem::path> rasters;  ///< all in the item's folder
    std::vector<StacFile> others;
};

/// JSON of the item, with a line break at its end: footprint and box in longitude and latitude (WGS 84), the
/// projection, and for each raster its band with unit, statistics, nodata and classes, and its SHA-256.
/// Throws RunError when a raster can't be read. Deterministic.
std::string stac_item_json(const StacItem& item);

/// Seconds after 00:00 UTC of `date` as RFC 3339 in UTC, to the second.
std::string utc_text(std::chrono::year_month_day date, double seconds);

}  // namespace lielow
