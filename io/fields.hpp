// SPDX-License-Identifier: Apache-2.0
// Field outlines in, fields with their figures out.
#pragma once

#include <cstdint>
#include <filesystem>
#include <string>
#include <vector>

#include "io/georef.hpp"
#include "sim/grid.hpp"

namespace lielow {

/// One field: its outline and which share of each cell it covers.
struct FarmField {
    std::string name;
    std::vector<unsigned char> outline_wkb;  ///< multipolygon in the ground's CRS
    double area_m2 = 0;                      ///< of the outline
    std::vector<std::uint32_t> cells;        ///< cells at least partly inside, ascending
    std::vector<float> share;                ///< share of each of those cells that lies inside, 0..1
};

/// Reads polygons and their names (attribute "name", any case, or the first text attribute; "field 1" where
/// there is none), brings them into the ground's CRS and checks them. The layer is the only one with
/// polygons, or the one named "fields". Heights are dropped, curves become short lines; shares are counted on
/// 4 × 4 points a cell. One note per mended or odd thing. Throws InputError in one line: no such file, not a
/// vector file, no polygons, no CRS, two fields of one name, an outline that crosses itself (with where) or
/// is unsound otherwise, a field wholly outside the ground.
std::vector<FarmField> read_fields(const std::filesystem::path& path, const Grid& grid,
                                   const GeoReference& geo, std::vector<std::string>& notes);

/// The whole ground as one field, for a site without outlines.
FarmField whole_ground(const Grid& grid, const Field<std::uint8_t>& known, const GeoReference& geo);

}  // namespace lielow
