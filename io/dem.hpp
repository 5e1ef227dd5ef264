// SPDX-License-Identifier: Apache-2.0
// A digital elevation model from any raster GDAL reads, as the ground that sim/ works on.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "io/georef.hpp"
#include "sim/ground.hpp"
#include "sim/holes.hpp"

namespace lielow {

struct DemRequest {
    std::filesystem::path path;
    std::optional<std::string>
        vertical_unit;  ///< "m", "ft" (international) or "us-ft"; wins over the file, with a note
    std::optional<std::string> crs;  ///< anything PROJ reads, e.g. "EPSG:26917", for a file without one
    double bridge_area_m2 = 400.0;   ///< largest hole that is bridged for the flow
    std::string key_prefix = {};     ///< of the site file's keys vertical_unit and crs that messages ask for
};

struct Dem {
    Ground ground;  ///< metres, north-up where the raster isn't rotated
    GeoReference geo;
    std::string vertical_unit;       ///< what the file's numbers were in: "m", "ft" or "us-ft"
    std::string vertical_unit_from;  ///< who said so: "vertical CRS", "band unit", "site file"
    bool warped = false;             ///< true when the file was geographic and was warped to UTM
    HoleReport holes;
    std::vector<std::string> notes;  ///< one line each: every decision a careful person would want to know of
};

/// Reads, checks and prepares a DEM. `request.path` may be anything GDAL opens as one raster (a .vrt,
/// "NETCDF:file.nc:z"). A geographic one is warped to the UTM zone of its middle, on its own datum. Throws
/// InputError with one line for: no such file, not a raster, unreadable or cut off, other than one band,
/// complex data, no position, no CRS (or one that contradicts `request.crs`), vertical unit unknown or
/// contradicted, heights counted downward, sheared transform, fewer than 3 × 3 cells, more than 2·10⁹, no
/// cell with a value, a height outside -500..9000 m (an undeclared nodata value, a wrong unit).
Dem read_dem(const DemRequest& request);

/// The same with holes as they are: `known` is empty, nothing is bridged and no note speaks of holes.
Dem read_dem_with_holes(const DemRequest& request);

}  // namespace lielow
