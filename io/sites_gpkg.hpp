// SPDX-License-Identifier: Apache-2.0
// sites.gpkg: layers of outlines, lines and points with their figures, for any GIS.
#pragma once

#include <array>
#include <cstdint>
#include <filesystem>
#include <span>
#include <string>
#include <variant>
#include <vector>

#include "io/fields.hpp"
#include "io/georef.hpp"
#include "io/layer_style.hpp"
#include "sim/hollows.hpp"

namespace lielow {

using Wkb = std::vector<unsigned char>;

/// A point in map coordinates.
Wkb point_wkb(double x, double y);

/// A line through map coordinates.
Wkb line_wkb(std::span<const std::array<double, 2>> corners);

/// One attribute of a layer: a value per feature. NaN and empty text are written as NULL.
struct Column {
    std::string name;         ///< lower case with the unit in it: "area_m2"
    std::string description;  ///< one sentence; kept as the column's description
    std::variant<std::vector<double>, std::vector<std::int64_t>, std::vector<std::string>> values;
};

/// One layer; `geometries` and every column have one length. An empty layer is fine.
struct VectorLayer {
    std::string name;
    std::string description;  ///< one sentence
    Shape shape = Shape::multi_polygon;
    std::vector<Wkb> geometries;  ///< in the ground's CRS
    std::vector<Column> columns;
    LayerStyle style = {};  ///< how a GIS draws it by default
};

/// Writes every layer to `path`, which must not exist yet (give it a path in a staging folder). Throws
/// RunError (disk full, not writable, a column of the wrong length). Styles go into a table layer_styles,
/// where QGIS looks for them. The bytes depend on nothing but the arguments and the versions of the
/// libraries: the date a GeoPackage must carry is the Unix epoch's.
void write_sites_gpkg(const std::filesystem::path& path, const GeoReference& geo,
                      std::span<const VectorLayer> layers);

/// Layer "fields": name and area, then `figures` in the order of `fields`.
VectorLayer fields_layer(std::span<const FarmField> fields, std::vector<Column> figures);

/// Multipolygon of the cells that carry each label 0..count-1, in map coordinates; empty geometry for a label
/// without cells. Cells that meet only at a corner make separate parts. Other labels are left out. 4 bytes a
/// cell plus the outlines.
std::vector<Wkb> outlines_of_labels(const GeoReference& geo, Field<std::int32_t>&& label, std::size_t count);

/// Layer "hollows": the first `most` closed hollows (the list is by falling volume), each the outline of its
/// water when full.
VectorLayer hollows_layer(const GeoReference& geo, const Field<float>& z, const Catchments& catchments,
                          const Hollows& hollows, std::size_t most);

/// Layer "hollow_spills": where each of those runs over, at the middle of the cell.
VectorLayer hollow_spills_layer(const GeoReference& geo, const Grid& grid, const Hollows& hollows,
                                std::size_t most);

}  // namespace lielow
