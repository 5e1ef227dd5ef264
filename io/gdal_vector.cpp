// SPDX-License-Identifier: Apache-2.0
#include "io/gdal_vector.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

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

}  // namespace

PolygonSource::PolygonSource(const std::filesystem::path& path, const char* preferred_layer,
                             const std::string& what, const GeoReference& geo,
                             std::vector<std::string>& notes)
    : dataset_(open_vector(path, what)) {
    const std::string file = display_name(path);
    layer_ = &polygon_layer(*dataset_, preferred_layer, what, file);
    crs_ = layer_crs(*layer_, file);
    const OGRSpatialReference ground_crs = crs_from(geo.wkt);
    if (crs_.IsSame(&ground_crs)) return;
    to_ground_ = transformation(crs_, ground_crs);
    if (!to_ground_) {
        throw InputError(fmt::format("{} ({}) can't be brought into the DEM's CRS ({})", file, crs_.GetName(),
                                     ground_crs.GetName()));
    }
    notes.push_back(fmt::format("{}: brought from {} into {}", file, crs_.GetName(), ground_crs.GetName()));
}

}  // namespace lielow::gdal
