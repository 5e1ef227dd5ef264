// SPDX-License-Identifier: Apache-2.0
#include <gdal_alg.h>
#include <ogrsf_frmts.h>

#include <algorithm>
#include <memory>

#include "io/gdal_outline.hpp"
#include "io/gdal_session.hpp"
#include "io/sites_gpkg.hpp"
#include "sim/errors.hpp"

namespace lielow {
namespace {

constexpr std::int32_t kNoLabel = -1;

std::vector<gdal::Polygons> empty_outlines(std::size_t count) {
    std::vector<gdal::Polygons> outlines(count);
    for (gdal::Polygons& outline : outlines) outline = std::make_unique<OGRMultiPolygon>();
    return outlines;
}

/// Four-connected, so that every part is sound; parts of one label that touch at a corner make a sound
/// multipolygon.
void polygonize(GDALRasterBand& band, OGRLayer& target) {
    const gdal::Errors errors;
    OGRFieldDefn attribute("label", OFTInteger);
    target.CreateField(&attribute);
    GDALRasterBandH handle = GDALRasterBand::ToHandle(&band);
    // The nodata value of the band is its mask: ground without a label isn't traced.
    GDALRasterBandH mask = GDALRasterBand::ToHandle(band.GetMaskBand());
    if (GDALPolygonize(handle, mask, OGRLayer::ToHandle(&target), 0, nullptr, nullptr, nullptr) != CE_None) {
        throw RunError("outlines could not be drawn (" + errors.text() + ")");
    }
}

std::vector<double> numbers(const Hollows& hollows, std::size_t count, double (*figure)(const Hollow&)) {
    std::vector<double> values;
    for (std::size_t i = 0; i < count; ++i) values.push_back(figure(hollows.list[i]));
    return values;
}

std::vector<std::int64_t> ordinals(std::size_t count) {
    std::vector<std::int64_t> values;
    for (std::size_t i = 0; i < count; ++i) values.push_back(static_cast<std::int64_t>(i) + 1);
    return values;
}

Column number_column(std::size_t count) {
    return {"hollow", "Number of the hollow, the most voluminous first", ordinals(count)};
}

Column spill_level_column(const Hollows& hollows, std::size_t count) {
    return {"spill_level_m", "Elevation of the water when full, metres above the DEM's datum",
            numbers(hollows, count, [](const Hollow& h) { return static_cast<double>(h.spill_level_m); })};
}

/// Number of the hollow over whose ground a cell lies under water when it is full.
Field<std::int32_t> hollow_of_cell(const Field<float>& z, const Catchments& catchments,
                                   const Hollows& hollows, std::size_t count) {
    Field<std::int32_t> label(z.rows(), z.cols(), kNoLabel);
    for (std::size_t i = 0; i < z.size(); ++i) {
        const std::int32_t catchment = catchments.of_cell[i];
        if (catchment < 0) continue;
        const auto c = static_cast<std::size_t>(catchment);
        const std::int32_t hollow = hollows.hollow_of_catchment[c];
        if (hollow < 0 || static_cast<std::size_t>(hollow) >= count) continue;
        if (z[i] < hollows.level_of_catchment[c]) label[i] = hollow;
    }
    return label;
}

}  // namespace

std::vector<Wkb> outlines_of_labels(const GeoReference& geo, Field<std::int32_t>&& label, std::size_t count) {
    Field<std::int32_t> owned = std::move(label);
    const gdal::Dataset raster = gdal::over_buffer(owned.data(), owned.rows(), owned.cols(), GDT_Int32);
    GeoReference copy = geo;
    raster->SetGeoTransform(copy.transform.data());
    raster->GetRasterBand(1)->SetNoDataValue(kNoLabel);
    const gdal::Dataset memory(
        GetGDALDriverManager()->GetDriverByName("Memory")->Create("", 0, 0, 0, GDT_Unknown, nullptr));
    OGRLayer* traced = memory ? memory->CreateLayer("traced", nullptr, wkbPolygon, nullptr) : nullptr;
    if (traced == nullptr) throw RunError("outlines could not be drawn (out of memory)");
    polygonize(*raster->GetRasterBand(1), *traced);
    std::vector<gdal::Polygons> outlines = empty_outlines(count);
    for (auto& feature : *traced) {
        const int value = feature->GetFieldAsInteger(0);
        if (value < 0 || static_cast<std::size_t>(value) >= count) continue;
        outlines[static_cast<std::size_t>(value)]->addGeometryDirectly(feature->StealGeometry());
    }
    std::vector<Wkb> result;
    for (const gdal::Polygons& outline : outlines) result.push_back(gdal::wkb_of(*outline));
    return result;
}

VectorLayer hollows_layer(const GeoReference& geo, const Field<float>& z, const Catchments& catchments,
                          const Hollows& hollows, std::size_t most) {
    const std::size_t count = std::min(most, hollows.list.size());
    VectorLayer layer{"hollows",
                      "Closed hollows: ground that holds water until it runs over",
                      Shape::multi_polygon,
                      {},
                      {}};
    layer.geometries = outlines_of_labels(geo, hollow_of_cell(z, catchments, hollows, count), count);
    layer.columns.push_back(number_column(count));
    layer.columns.push_back({"area_m2", "Surface of the water when full, square metres",
                             numbers(hollows, count, [](const Hollow& h) { return h.area_m2; })});
    layer.columns.push_back({"volume_m3", "Water when full, cubic metres",
                             numbers(hollows, count, [](const Hollow& h) { return h.volume_m3; })});
    layer.columns.push_back({"depth_m", "Depth at the deepest point when full, metres",
                             numbers(hollows, count, [](const Hollow& h) { return h.depth_m; })});
    layer.columns.push_back(spill_level_column(hollows, count));
    return layer;
}

VectorLayer hollow_spills_layer(const GeoReference& geo, const Grid& grid, const Hollows& hollows,
                                std::size_t most) {
    const std::size_t count = std::min(most, hollows.list.size());
    VectorLayer layer{"hollow_spills", "Where each closed hollow runs over when full", Shape::point, {}, {}};
    const auto cols = static_cast<std::uint32_t>(grid.cols);
    for (std::size_t i = 0; i < count; ++i) {
        const std::uint32_t cell = hollows.list[i].spill_cell;
        const auto at = geo.at(cell % cols + 0.5, cell / cols + 0.5);
        layer.geometries.push_back(point_wkb(at[0], at[1]));
    }
    layer.columns.push_back(number_column(count));
    layer.columns.push_back(spill_level_column(hollows, count));
    return layer;
}

}  // namespace lielow
