// SPDX-License-Identifier: Apache-2.0
// Small rasters and vector files for tests, made with GDAL itself.
#pragma once

#include <gdal_priv.h>
#include <ogrsf_frmts.h>

#include <array>
#include <filesystem>
#include <functional>
#include <limits>
#include <memory>
#include <optional>
#include <stdexcept>
#include <string>
#include <utility>
#include <vector>

namespace lielow::testing {

struct DatasetCloser {
    void operator()(GDALDataset* dataset) const { GDALClose(GDALDataset::ToHandle(dataset)); }
};
using DatasetPtr = std::unique_ptr<GDALDataset, DatasetCloser>;

struct RasterSpec {
    int rows = 6;
    int cols = 8;
    std::optional<std::array<double, 6>> transform = std::array<double, 6>{500000, 10, 0, 4200000, 0, -10};
    std::string crs = "EPSG:32616";  ///< "" for none
    std::string unit = "m";          ///< "" for none
    GDALDataType type = GDT_Float32;
    int bands = 1;
    std::optional<double> nodata;
    std::optional<double> scale;
    std::optional<double> offset;
    std::function<double(int row, int col)> value = [](int row, int col) { return 100.0 + 10.0 * row + col; };
    std::function<bool(int row, int col)> masked;  ///< true = hidden by a mask band
    std::vector<std::pair<std::string, std::string>> options;
};

inline OGRSpatialReference crs_of(const std::string& text) {
    OGRSpatialReference crs;
    if (crs.SetFromUserInput(text.c_str()) != OGRERR_NONE) throw std::runtime_error("no such CRS: " + text);
    crs.SetAxisMappingStrategy(OAMS_TRADITIONAL_GIS_ORDER);
    return crs;
}

inline void fill(GDALDataset& dataset, const RasterSpec& spec) {
    std::vector<double> row(static_cast<std::size_t>(spec.cols));
    std::vector<GByte> mask(row.size());
    if (spec.masked) dataset.CreateMaskBand(GMF_PER_DATASET);
    for (int r = 0; r < spec.rows; ++r) {
        for (int c = 0; c < spec.cols; ++c) row[static_cast<std::size_t>(c)] = spec.value(r, c);
        for (int b = 1; b <= spec.bands; ++b) {
            if (dataset.GetRasterBand(b)->RasterIO(GF_Write, 0, r, spec.cols, 1, row.data(), spec.cols, 1,
                                                   GDT_Float64, 0, 0, nullptr) != CE_None) {
                throw std::runtime_error("the test's raster can't be written");
            }
        }
        if (!spec.masked) continue;
        for (int c = 0; c < spec.cols; ++c) mask[static_cast<std::size_t>(c)] = spec.masked(r, c) ? 0 : 255;
        if (dataset.GetRasterBand(1)->GetMaskBand()->RasterIO(GF_Write, 0, r, spec.cols, 1, mask.data(),
                                                              spec.cols, 1, GDT_Byte, 0, 0,
                                                              nullptr) != CE_None) {
            throw std::runtime_error("the test's mask can't be written");
        }
    }
}

/// Writes a GeoTIFF as `spec` says and returns its path.
inline std::filesystem::path make_raster(const std::filesystem::path& path, const RasterSpec& spec) {
    GDALAllRegister();
    CPLStringList options;
    for (const auto& [key, value] : spec.options) options.SetNameValue(key.c_str(), value.c_str());
    DatasetPtr dataset(GetGDALDriverManager()->GetDriverByName("GTiff")->Create(
        path.c_str(), spec.cols, spec.rows, spec.bands, spec.type, options.List()));
    if (!dataset) throw std::runtime_error("the test's raster can't be made");
    if (spec.transform) {
        auto transform = *spec.transform;
        dataset->SetGeoTransform(transform.data());
    }
    if (!spec.crs.empty()) {
        const OGRSpatialReference crs = crs_of(spec.crs);
        dataset->SetSpatialRef(&crs);
    }
    for (int b = 1; b <= spec.bands; ++b) {
        GDALRasterBand& band = *dataset->GetRasterBand(b);
        if (!spec.unit.empty()) band.SetUnitType(spec.unit.c_str());
        if (spec.nodata) band.SetNoDataValue(*spec.nodata);
        if (spec.scale) band.SetScale(*spec.scale);
        if (spec.offset) band.SetOffset(*spec.offset);
    }
    fill(*dataset, spec);
    return path;
}

struct Shape {
    std::optional<std::string> name;
    std::string wkt;
};

struct VectorSpec {
    std::string driver = "GPKG";
    std::string crs = "EPSG:32616";
    std::string layer = "outlines";
    std::string attribute = "name";  ///< "" for none
    OGRwkbGeometryType type = wkbUnknown;
    std::vector<Shape> shapes;
};

inline std::filesystem::path make_vector(const std::filesystem::path& path, const VectorSpec& spec) {
    GDALAllRegister();
    GDALDriver* driver = GetGDALDriverManager()->GetDriverByName(spec.driver.c_str());
    DatasetPtr dataset(std::filesystem::exists(path)
                           ? GDALDataset::Open(path.c_str(), GDAL_OF_VECTOR | GDAL_OF_UPDATE)
                           : driver->Create(path.c_str(), 0, 0, 0, GDT_Unknown, nullptr));
    std::optional<OGRSpatialReference> crs;
    if (!spec.crs.empty()) crs = crs_of(spec.crs);
    OGRLayer* layer = dataset->CreateLayer(spec.layer.c_str(), crs ? &*crs : nullptr, spec.type, nullptr);
    if (layer == nullptr) throw std::runtime_error("the test's layer can't be made");
    if (!spec.attribute.empty()) {
        OGRFieldDefn attribute(spec.attribute.c_str(), OFTString);
        layer->CreateField(&attribute);
    }
    for (const Shape& shape : spec.shapes) {
        OGRFeature feature(layer->GetLayerDefn());
        if (shape.name && !spec.attribute.empty()) feature.SetField(0, shape.name->c_str());
        OGRGeometry* geometry = nullptr;
        if (!shape.wkt.empty()) {
            OGRGeometryFactory::createFromWkt(shape.wkt.c_str(), nullptr, &geometry);
            if (geometry == nullptr) throw std::runtime_error("bad WKT in a test: " + shape.wkt);
            feature.SetGeometryDirectly(geometry);
        }
        if (layer->CreateFeature(&feature) != OGRERR_NONE)
            throw std::runtime_error("the test's shape can't be written");
    }
    return path;
}

}  // namespace lielow::testing
