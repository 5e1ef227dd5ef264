// SPDX-License-Identifier: Apache-2.0
// Private to io/: a vector file with polygons, its layer, its CRS and the way from it to the ground's.
#pragma once

#include <ogrsf_frmts.h>

#include <filesystem>
#include <string>
#include <vector>

#include "io/gdal_session.hpp"
#include "io/georef.hpp"
#include "sim/line_cells.hpp"

namespace lielow::gdal {

class PolygonSource {
  public:
    /// Opens `path` and finds the one layer with polygons, or the one of them named `preferred_layer`. `what`
    /// says in messages what is looked for. Throws InputError in one line: no such file, not a vector file,
    /// no polygons, several layers, no CRS, no way to the ground's CRS.
    PolygonSource(const std::filesystem::path& path, const char* preferred_layer, const std::string& what,
                  const GeoReference& geo, std::vector<std::string>& notes);

    [[nodiscard]] OGRLayer& layer() const { return *layer_; }
    [[nodiscard]] const OGRSpatialReference& crs() const { return crs_; }
    /// Null when the file is in the ground's CRS already.
    [[nodiscard]] OGRCoordinateTransformation* to_ground() const { return to_ground_.get(); }

  private:
    Dataset dataset_;
    OGRLayer* layer_ = nullptr;
    OGRSpatialReference crs_;
    Transformation to_ground_;
};

/// One layer of shapes of any kind, and the way from its CRS to the ground's.
struct ShapeLayer {
    OGRLayer* layer = nullptr;
    OGRSpatialReference crs;
    Transformation to_ground;  ///< null when the layer is in the ground's CRS already
};

/// Every layer of a vector file that has all of `attributes`.
class ShapeSource {
  public:
    /// Throws InputError in one line: no such file, not a vector file, no such layer, no CRS, no way to the
    /// ground's CRS. `what` says in messages what is looked for.
    ShapeSource(const std::filesystem::path& path, const std::vector<std::string>& attributes,
                const std::string& what, const GeoReference& geo, std::vector<std::string>& notes);

    [[nodiscard]] const std::vector<ShapeLayer>& layers() const { return layers_; }

  private:
    Dataset dataset_;
    std::vector<ShapeLayer> layers_;
};

/// A line in the ground's CRS, as metres from the outer corner of the grid's first cell.
Polyline on_grid(const OGRLineString& line, const Grid& grid, const GeoReference& geo);

}  // namespace lielow::gdal
