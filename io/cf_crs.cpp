// SPDX-License-Identifier: Apache-2.0
#include "io/cf_crs.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>
#include <ogr_spatialref.h>

#include <cmath>
#include <string_view>
#include <vector>

namespace lielow {
namespace {

struct Parameter {
    const char* wkt;
    const char* cf;
};

/// One row of CF's appendix F.
struct Mapping {
    std::string_view wkt;
    const char* cf;
    std::vector<Parameter> parameters;
    bool two_parallels = false;
};

const std::vector<Mapping>& mappings() {
    static const std::vector<Mapping> table{
        {SRS_PT_TRANSVERSE_MERCATOR,
         "transverse_mercator",
         {{SRS_PP_LATITUDE_OF_ORIGIN, "latitude_of_projection_origin"},
          {SRS_PP_CENTRAL_MERIDIAN, "longitude_of_central_meridian"},
          {SRS_PP_SCALE_FACTOR, "scale_factor_at_central_meridian"}}},
        {SRS_PT_LAMBERT_CONFORMAL_CONIC_2SP,
         "lambert_conformal_conic",
         {{SRS_PP_LATITUDE_OF_ORIGIN, "latitude_of_projection_origin"},
          {SRS_PP_CENTRAL_MERIDIAN, "longitude_of_central_meridian"}},
         true},
        {SRS_PT_ALBERS_CONIC_EQUAL_AREA,
         "albers_conical_equal_area",
         {{SRS_PP_LATITUDE_OF_CENTER, "latitude_of_projection_origin"},
          {SRS_PP_LONGITUDE_OF_CENTER, "longitude_of_central_meridian"}},
         true},
        {SRS_PT_LAMBERT_AZIMUTHAL_EQUAL_AREA,
         "lambert_azimuthal_equal_area",
         {{SRS_PP_LATITUDE_OF_CENTER, "latitude_of_projection_origin"},
          {SRS_PP_LONGITUDE_OF_CENTER, "longitude_of_projection_origin"}}},
        {SRS_PT_MERCATOR_1SP,
         "mercator",
         {{SRS_PP_CENTRAL_MERIDIAN, "longitude_of_projection_origin"},
          {SRS_PP_SCALE_FACTOR, "scale_factor_at_projection_origin"}}},
    };
    return table;
}

void add_mapping(const OGRSpatialReference& crs, NetcdfAttributes& attributes) {
    const char* projection = crs.GetAttrValue("PROJECTION");
    if (projection == nullptr) return;
    for (const Mapping& mapping : mappings()) {
        if (mapping.wkt != projection) continue;
        attributes.emplace_back("grid_mapping_name", mapping.cf);
        for (const Parameter& p : mapping.parameters) attributes.emplace_back(p.cf, crs.GetProjParm(p.wkt));
        if (mapping.two_parallels) {
            attributes.emplace_back("standard_parallel",
                                    std::vector<double>{crs.GetProjParm(SRS_PP_STANDARD_PARALLEL_1),
                                                        crs.GetProjParm(SRS_PP_STANDARD_PARALLEL_2)});
        }
        attributes.emplace_back("false_easting", crs.GetProjParm(SRS_PP_FALSE_EASTING));
        attributes.emplace_back("false_northing", crs.GetProjParm(SRS_PP_FALSE_NORTHING));
    }
}

}  // namespace

NetcdfAttributes grid_mapping(const GeoReference& geo, const std::array<double, 6>& transform) {
    NetcdfAttributes attributes;
    OGRSpatialReference crs;
    if (crs.importFromWkt(geo.wkt.c_str()) == OGRERR_NONE) {
        add_mapping(crs, attributes);
        attributes.emplace_back("semi_major_axis", crs.GetSemiMajor());
        attributes.emplace_back("inverse_flattening", crs.GetInvFlattening());
        attributes.emplace_back("longitude_of_prime_meridian", crs.GetPrimeMeridian());
    }
    attributes.emplace_back("crs_wkt", geo.wkt);
    attributes.emplace_back("GeoTransform", fmt::format("{}", fmt::join(transform, " ")));
    return attributes;
}

std::string map_unit(const GeoReference& geo) {
    constexpr double foot = 0.3048;
    constexpr double survey_foot = 1200.0 / 3937.0;
    constexpr double same = 1e-9;
    if (std::abs(geo.metres_per_unit - foot) < same) return "foot";
    if (std::abs(geo.metres_per_unit - survey_foot) < same) return "US_survey_foot";
    if (geo.metres_per_unit == 1) return "m";
    return fmt::format("{} m", geo.metres_per_unit);
}

}  // namespace lielow
