// SPDX-License-Identifier: Apache-2.0
#include "io/farm_outlines.hpp"

#include <fmt/format.h>
#include <ogrsf_frmts.h>

#include "io/gdal_outline.hpp"
#include "io/gdal_session.hpp"
#include "sim/errors.hpp"

namespace lielow {
namespace {

[[noreturn]] void refuse(const std::filesystem::path& file, const std::string& why) {
    throw RunError(
        fmt::format("{} can't be read: {}; delete its folder and run the farm again", file.string(), why));
}

}  // namespace

Wkb empty_multipolygon_wkb() {
    return gdal::wkb_of(OGRMultiPolygon());
}

GeoReference earth_coordinates() {
    gdal::start();
    GeoReference geo;
    geo.wkt = gdal::wkt_of(gdal::crs_from("EPSG:4326"));
    return geo;
}

FarmOutlines read_farm_outlines(const std::filesystem::path& sites_gpkg) {
    gdal::start();
    const gdal::Errors errors;
    const gdal::Dataset dataset(GDALDataset::FromHandle(
        GDALOpenEx(sites_gpkg.c_str(), GDAL_OF_VECTOR | GDAL_OF_READONLY, nullptr, nullptr, nullptr)));
    OGRLayer* layer = dataset ? dataset->GetLayerByName("fields") : nullptr;
    if (layer == nullptr) refuse(sites_gpkg, errors.any() ? errors.text() : "it has no layer of fields");
    const OGRSpatialReference* crs = layer->GetSpatialRef();
    if (crs == nullptr) refuse(sites_gpkg, "it has no CRS");
    const auto to_earth = gdal::transformation(*crs, gdal::crs_from("EPSG:4326"));
    FarmOutlines outlines;
    OGRMultiPolygon farm;
    for (const auto& feature : *layer) {
        OGRGeometry* geometry = feature->GetGeometryRef();
        if (geometry == nullptr) refuse(sites_gpkg, "a field has no outline");
        if (!to_earth || geometry->transform(to_earth.get()) != OGRERR_NONE)
            refuse(sites_gpkg, "PROJ knows no way from its CRS to longitude and latitude");
        const gdal::Polygons polygons = gdal::flat_polygons(*geometry);
        if (!polygons) refuse(sites_gpkg, "a field's outline is no polygon");
        for (const OGRPolygon* polygon : *polygons) farm.addGeometry(polygon);
        outlines.names.emplace_back(feature->GetFieldAsString("name"));
        outlines.fields.push_back(gdal::wkb_of(*polygons));
    }
    outlines.farm = gdal::wkb_of(farm);
    return outlines;
}

}  // namespace lielow
