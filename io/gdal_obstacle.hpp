// SPDX-License-Identifier: Apache-2.0
// Private to io/: one shape of an obstacle file with its attributes, judged, in metres on the ground's cells.
#pragma once

#include <ogrsf_frmts.h>

#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "io/gdal_vector.hpp"
#include "io/georef.hpp"
#include "io/quantity.hpp"
#include "sim/grid.hpp"

namespace lielow::gdal {

enum class ShapeRole : std::uint8_t { standing, gap, passage, fan };

struct ShapeKind {
    std::string_view name;
    ShapeRole role;
    bool may_lack_openness;  ///< then it is solid
};

/// hedge, tree belt, fence, wall, bank (numbered as ObstacleKind), gap, culvert, bridge, fan.
const std::vector<ShapeKind>& shape_kinds();

struct ObstacleShape {
    std::string where;  ///< for messages: file, noun and name
    std::string name;
    std::size_t kind = 0;  ///< in shape_kinds()
    double height_m = 0;
    double openness = 0;
    double width_m = 0;
    double radius_m = 0;
    double heat_w = 0;
    std::unique_ptr<OGRGeometry> geometry;  ///< x along the rows, y down the rows, m

    [[nodiscard]] ShapeRole role() const { return shape_kinds()[kind].role; }
};

struct ShapeReader {
    std::string file;                       ///< as people know it
    std::string noun;                       ///< "belt" or "obstacle"
    std::optional<std::size_t> fixed_kind;  ///< nullopt: the attribute `kind` says
    const Grid& grid;
    const GeoReference& geo;
    std::vector<std::string>& notes;
    std::size_t found = 0;  ///< shapes met so far

    /// Null for a feature without a shape, or (with a note) outside the ground. Throws InputError.
    std::optional<ObstacleShape> read(const OGRFeature& feature, const OGRSpatialReference& crs,
                                      OGRCoordinateTransformation* to_ground);
};

/// The ground's cells with metres for coordinates: what read() brings shapes to.
GeoReference metres_on(const Grid& grid);

}  // namespace lielow::gdal
