// SPDX-License-Identifier: Apache-2.0
#include "io/gdal_vector.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <array>
#include <system_error>

#include "io/gdal_position.hpp"
#include "sim/errors.hpp"

namespace lielow::gdal {
namespace {

Dataset open_vector(const std::filesystem::path& path, const std::string& what) {
    const std::string text = path.string();
    const Errors errors;
    Dataset dataset(
        GDALDataset::Open(text.c_str(), GDAL_OF_VECTOR | GDAL_OF_READONLY | GDAL_OF_VERBOSE_ERROR));
    if (dataset) return dataset;
    std::error_code ignored;
    if (!std::filesystem::exists(path, ignored))
        throw InputError(fmt::format("{}: no such file (the {})", text, what));
    throw InputError(fmt::format("{} can't be read as outlines; is it a vector file, and is it whole? ({})",
                                 text, errors.text()));
}

bool may_hold_polygons(const OGRLayer& layer) {
    const OGRwkbGeometryType type = wkbFlatten(const_cast<OGRLayer&>(layer).GetGeomType());
    return type == wkbUnknown || type == wkbGeometryCollection || OGR_GT_IsSurface(type) ||
           OGR_GT_IsSubClassOf(type, wkbMultiSurface);
}

OGRLayer& polygon_layer(GDALDataset& dataset, const char* preferred, const std::string& what,
                        const std::string& file) {
    std::vector<OGRLayer*> found;
    std::vector<std::string> names;
    for (OGRLayer* layer : dataset.GetLayers()) {
        if (!may_hold_polygons(*layer)) continue;
        if (EQUAL(layer->GetName(), preferred)) return *layer;
        found.push_back(layer);
        names.emplace_back(layer->GetName());
    }
    if (found.empty()) throw InputError(fmt::format("{} holds no polygons; give the {}", file, what));
    if (found.size() > 1) {
        throw InputError(fmt::format("{} holds several layers with polygons ({}); name the one to use \"{}\"",
                                     file, fmt::join(names, ", "), preferred));
    }
    return *found.front();
}

OGRSpatialReference layer_crs(const OGRLayer& layer, const std::string& file) {
    const OGRSpatialReference* crs = const_cast<OGRLayer&>(layer).GetSpatialRef();
    if (crs == nullptr || crs->IsEmpty() || crs->IsLocal()) {
        throw InputError(
            fmt::format("{} doesn't say its CRS; save it again with one (a shapefile needs its .prj)", file));
    }
    return horizontal(*crs);
}

/// From `crs` to the ground's; null when they are the same, which needs no way.
Transformation way_to_ground(const OGRSpatialReference& crs, const GeoReference& geo, const std::string& file,
                             std::vector<std::string>& notes) {
    const OGRSpatialReference ground_crs = crs_from(geo.wkt);
    if (crs.IsSame(&ground_crs)) return nullptr;
    Transformation way = transformation(crs, ground_crs);
    if (!way) {
        throw InputError(fmt::format("{} ({}) can't be brought into the DEM's CRS ({})", file, crs.GetName(),
                                     ground_crs.GetName()));
    }
    notes.push_back(fmt::format("{}: brought from {} into {}", file, crs.GetName(), ground_crs.GetName()));
    return way;
}

}  // namespace

PolygonSource::PolygonSource(const std::filesystem::path& path, const char* preferred_layer,
                             const std::string& what, const GeoReference& geo,
                             std::vector<std::string>& notes)
    : dataset_(open_vector(path, what)) {
    const std::string file = display_name(path);
    layer_ = &polygon_layer(*dataset_, preferred_layer, what, file);
    crs_ = layer_crs(*layer_, file);
    to_ground_ = way_to_ground(crs_, geo, file, notes);
}

ShapeSource::ShapeSource(const std::filesystem::path& path, const std::vector<std::string>& attributes,
                         const std::string& what, const GeoReference& geo, std::vector<std::string>& notes)
    : dataset_(open_vector(path, what)) {
    const std::string file = display_name(path);
    for (OGRLayer* layer : dataset_->GetLayers()) {
        const bool has_all = std::all_of(attributes.begin(), attributes.end(), [&](const std::string& name) {
            return layer->GetLayerDefn()->GetFieldIndex(name.c_str()) >= 0;
        });
        if (!has_all) continue;
        ShapeLayer found{layer, layer_crs(*layer, file), nullptr};
        found.to_ground = way_to_ground(found.crs, geo, file, notes);
        layers_.push_back(std::move(found));
    }
    if (layers_.empty()) {
        throw InputError(fmt::format("{} has no layer with the attribute {}; give the {}", file,
                                     fmt::join(attributes, ", "), what));
    }
}

Polyline on_grid(const OGRLineString& line, const Grid& grid, const GeoReference& geo) {
    GeoReference copy = geo;
    std::array<double, 6> inverse{};
    if (!GDALInvGeoTransform(copy.transform.data(), inverse.data()))
        throw RunError("the ground's position can't be inverted");
    Polyline points;
    for (const OGRPoint& point : line) {
        const double x = point.getX();
        const double y = point.getY();
        points.push_back({(inverse[0] + x * inverse[1] + y * inverse[2]) * grid.dx,
                          (inverse[3] + x * inverse[4] + y * inverse[5]) * grid.dy});
    }
    return points;
}

}  // namespace lielow::gdal
