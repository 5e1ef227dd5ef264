// SPDX-License-Identifier: Apache-2.0
#include "io/gpx.hpp"

#include <ogrsf_frmts.h>

#include <cmath>

#include "io/gdal_position.hpp"
#include "io/gdal_session.hpp"
#include "sim/errors.hpp"

namespace lielow {
namespace {

bool add_waypoint(OGRLayer& layer, const GeoReference& geo, const Waypoint& waypoint) {
    const auto [longitude, latitude] = longitude_latitude(geo, waypoint.x, waypoint.y);
    OGRFeature feature(layer.GetLayerDefn());
    feature.SetField("name", waypoint.name.c_str());
    feature.SetField("desc", waypoint.description.c_str());
    feature.SetField("ele", std::round(waypoint.elevation_m * 100) / 100);
    OGRPoint point(longitude, latitude);
    feature.SetGeometry(&point);
    return layer.CreateFeature(&feature) == OGRERR_NONE;
}

}  // namespace

std::array<double, 2> longitude_latitude(const GeoReference& geo, double x, double y) {
    gdal::start();
    auto place = gdal::longitude_latitude(gdal::crs_from(geo.wkt), {x, y}, "the DEM");
    for (double& degrees : place) degrees = std::round(degrees * 1e7) / 1e7;
    return place;
}

void write_gpx(const std::filesystem::path& path, const GeoReference& geo,
               std::span<const Waypoint> waypoints) {
    gdal::start();
    gdal::Errors errors;
    GDALDriver* driver = GetGDALDriverManager()->GetDriverByName("GPX");
    if (driver == nullptr) throw RunError("this GDAL has no driver for GPX");
    gdal::Dataset dataset(driver->Create(path.c_str(), 0, 0, 0, GDT_Unknown, nullptr));
    OGRSpatialReference degrees = gdal::crs_from("EPSG:4326");
    OGRLayer* layer = dataset ? dataset->CreateLayer("waypoints", &degrees, wkbPoint) : nullptr;
    bool good = layer != nullptr;
    for (const Waypoint& waypoint : waypoints) good = good && add_waypoint(*layer, geo, waypoint);
    if (!good || errors.any()) gdal::throw_write_failure(path, errors);
    gdal::close_written(std::move(dataset), path, errors);
}

}  // namespace lielow
