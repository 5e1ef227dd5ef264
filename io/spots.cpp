// SPDX-License-Identifier: Apache-2.0
#include "io/spots.hpp"

#include <fmt/format.h>
#include <ogrsf_frmts.h>

#include <array>
#include <cmath>
#include <optional>
#include <set>
#include <system_error>

#include "io/gdal_position.hpp"
#include "io/gdal_session.hpp"
#include "io/number_text.hpp"
#include "io/site.hpp"
#include "sim/errors.hpp"

namespace lielow {
namespace {

bool is_table(const std::filesystem::path& path) {
    return EQUAL(path.extension().c_str(), ".csv");
}

gdal::Dataset open_points(const std::filesystem::path& path) {
    gdal::start();
    const std::string text = path.string();
    std::error_code ignored;
    if (!std::filesystem::exists(path, ignored))
        throw InputError(fmt::format("{}: no such file (the spots)", text));
    const gdal::Errors errors;
    const std::array<const char*, 5> options{"HEADERS=YES", "X_POSSIBLE_NAMES=x,easting,lon,longitude",
                                             "Y_POSSIBLE_NAMES=y,northing,lat,latitude", "AUTODETECT_TYPE=NO",
                                             nullptr};
    gdal::Dataset dataset(GDALDataset::Open(text.c_str(),
                                            GDAL_OF_VECTOR | GDAL_OF_READONLY | GDAL_OF_VERBOSE_ERROR,
                                            nullptr, is_table(path) ? options.data() : nullptr));
    if (!dataset || dataset->GetLayerCount() == 0) {
        throw InputError(
            fmt::format("{} can't be read as spots; is it a vector file or a CSV table, and is "
                        "it whole? ({})",
                        text, errors.text()));
    }
    return dataset;
}

/// The layer named "spots", or the only one that may hold points.
OGRLayer& point_layer(GDALDataset& dataset, const std::string& file) {
    OGRLayer* found = nullptr;
    int count = 0;
    for (OGRLayer* layer : dataset.GetLayers()) {
        const OGRwkbGeometryType type = wkbFlatten(layer->GetGeomType());
        if (type != wkbPoint && type != wkbMultiPoint && type != wkbUnknown) continue;
        if (EQUAL(layer->GetName(), "spots")) return *layer;
        found = layer;
        ++count;
    }
    if (count > 1)
        throw InputError(fmt::format("{} holds several layers with points; name one \"spots\"", file));
    if (found == nullptr) {
        throw InputError(fmt::format(
            "{} holds no points; give points, or a CSV table with the columns name, x, y (or name, lon, lat)",
            file));
    }
    return *found;
}

/// CRS of the points: the layer's; of a table degrees where its columns say so, else the ground's.
OGRSpatialReference points_crs(const std::filesystem::path& path, OGRLayer& layer, const GeoReference& geo) {
    if (is_table(path)) {
        const OGRFeatureDefn& columns = *layer.GetLayerDefn();
        const bool degrees = columns.GetFieldIndex("lon") >= 0 || columns.GetFieldIndex("longitude") >= 0;
        return gdal::crs_from(degrees ? "EPSG:4326" : geo.wkt);
    }
    const OGRSpatialReference* crs = layer.GetSpatialRef();
    // A GeoPackage without one says "Undefined geographic SRS" (a default record of OGC 12-128).
    if (crs == nullptr || crs->IsEmpty() || crs->IsLocal() || STARTS_WITH(crs->GetName(), "Undefined")) {
        throw InputError(
            fmt::format("{} doesn't say its CRS; save it again with one", gdal::display_name(path)));
    }
    return gdal::horizontal(*crs);
}

int name_attribute(const OGRFeatureDefn& definition) {
    const int named = definition.GetFieldIndex("name");
    if (named >= 0) return named;
    for (int i = 0; i < definition.GetFieldCount(); ++i) {
        if (const_cast<OGRFeatureDefn&>(definition).GetFieldDefn(i)->GetType() == OFTString) return i;
    }
    return -1;
}

/// Of a point, or a multipoint of one.
std::optional<std::array<double, 2>> position_of(const OGRGeometry* geometry) {
    if (geometry == nullptr || geometry->IsEmpty()) return std::nullopt;
    if (wkbFlatten(geometry->getGeometryType()) == wkbMultiPoint) {
        const OGRMultiPoint* points = geometry->toMultiPoint();
        if (points->getNumGeometries() != 1) return std::nullopt;
        geometry = points->getGeometryRef(0);
    }
    if (wkbFlatten(geometry->getGeometryType()) != wkbPoint) return std::nullopt;
    const OGRPoint* point = geometry->toPoint();
    return std::array{point->getX(), point->getY()};
}

/// In a table GDAL reads what is no number as 0.
bool has_numbers(const OGRFeature& feature) {
    for (const char* column : {"x", "easting", "lon", "longitude", "y", "northing", "lat", "latitude"}) {
        const int index = feature.GetFieldIndex(column);
        if (index < 0) continue;
        std::string_view text = const_cast<OGRFeature&>(feature).GetFieldAsString(index);
        if (!take_number(text) || !trim(text).empty()) return false;
    }
    return true;
}

}  // namespace

std::vector<Spot> spots_in_text(std::string_view text) {
    std::vector<Spot> spots;
    while (!trim(text).empty()) {
        const auto end = std::min(text.find(';'), text.size());
        const std::string_view entry = trim(text.substr(0, end));
        text.remove_prefix(std::min(end + 1, text.size()));
        const auto colon = entry.rfind(':');
        const auto name = trim(entry.substr(0, std::min(colon, entry.size())));
        const auto position =
            colon == std::string_view::npos ? std::nullopt : map_position(entry.substr(colon + 1));
        if (!position || name.empty()) {
            throw InputError(fmt::format(
                "\"{}\" is no name with a map position; write \"Gate: 431250.0, 4512800.0; Pond: 431300.0, "
                "4512700.0\"",
                entry));
        }
        spots.push_back({std::string(name), position->first, position->second});
    }
    return spots;
}

std::vector<Spot> read_spots(const std::filesystem::path& path, const GeoReference& geo,
                             std::vector<std::string>& notes) {
    const std::string file = gdal::display_name(path);
    const gdal::Dataset dataset = open_points(path);
    OGRLayer& layer = point_layer(*dataset, file);
    const OGRSpatialReference crs = points_crs(path, layer, geo);
    const OGRSpatialReference ground_crs = gdal::crs_from(geo.wkt);
    gdal::Transformation to_ground;
    if (!crs.IsSame(&ground_crs)) {
        to_ground = gdal::transformation(crs, ground_crs);
        notes.push_back(
            fmt::format("{}: brought from {} into {}", file, crs.GetName(), ground_crs.GetName()));
    }
    const int attribute = name_attribute(*layer.GetLayerDefn());
    std::vector<Spot> spots;
    const gdal::Errors errors;
    for (auto& feature : layer) {
        Spot spot{fmt::format("spot {}", spots.size() + 1), 0, 0};
        if (attribute >= 0 && feature->IsFieldSetAndNotNull(attribute)) {
            const std::string name = gdal::one_line(feature->GetFieldAsString(attribute));
            if (!name.empty()) spot.name = name;
        }
        const auto position = position_of(feature->GetGeometryRef());
        if (!position || (is_table(path) && !has_numbers(*feature)))
            throw InputError(
                fmt::format("{}: \"{}\" has no position; give each spot one point", file, spot.name));
        spot.x = (*position)[0];
        spot.y = (*position)[1];
        if (to_ground && to_ground->Transform(1, &spot.x, &spot.y) == FALSE) {
            throw InputError(fmt::format("{}: \"{}\" can't be brought into the DEM's CRS; check its position",
                                         file, spot.name));
        }
        spots.push_back(std::move(spot));
    }
    if (errors.any()) throw InputError(fmt::format("{} is damaged or cut off ({})", file, errors.text()));
    if (spots.empty()) throw InputError(fmt::format("{} holds no spots", file));
    return spots;
}

void check_spot_names(const std::vector<Spot>& spots, std::string_view where) {
    std::set<std::string_view> seen;
    for (const Spot& spot : spots) {
        if (!seen.insert(spot.name).second)
            throw InputError(
                fmt::format("{}two spots are named \"{}\"; give each its own name", where, spot.name));
    }
}

}  // namespace lielow
