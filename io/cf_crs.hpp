// SPDX-License-Identifier: Apache-2.0
// A coordinate reference system as CF conventions write it: a grid-mapping variable's attributes.
#pragma once

#include <string>

#include "io/georef.hpp"
#include "io/netcdf_file.hpp"

namespace lielow {

/// grid_mapping_name and its parameters (CF 1.8, appendix F) where CF has the projection, crs_wkt in any
/// case, and GeoTransform (`transform`, as GDAL writes it) so that a rotated grid can be placed too.
NetcdfAttributes grid_mapping(const GeoReference& geo, const std::array<double, 6>& transform);

/// Unit of the map's coordinates as UDUNITS knows it: "m", "foot", "US_survey_foot".
std::string map_unit(const GeoReference& geo);

}  // namespace lielow
