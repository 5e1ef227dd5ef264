// SPDX-License-Identifier: Apache-2.0
// Private to io/: a vector file with polygons, its layer, its CRS and the way from it to the ground's.
#pragma once

#include <ogrsf_frmts.h>

#include <filesystem>
#include <string>
#include <vector>

#include "io/gdal_session.hpp"
#include "io/georef.hpp"

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

}  // namespace lielow::gdal
