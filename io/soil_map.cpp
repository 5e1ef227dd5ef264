// SPDX-License-Identifier: Apache-2.0
#include "io/soil_map.hpp"

#include <fmt/format.h>
#include <gdalwarper.h>

#include <limits>
#include <system_error>

#include "io/gdal_position.hpp"
#include "io/gdal_session.hpp"
#include "sim/errors.hpp"

namespace lielow {
namespace {

constexpr float unknown = std::numeric_limits<float>::quiet_NaN();

gdal::Dataset open_map(const std::filesystem::path& path, const std::string& what) {
    gdal::start();
    const gdal::Errors errors;
    gdal::Dataset dataset(GDALDataset::Open(path.c_str(), GDAL_OF_RASTER | GDAL_OF_READONLY));
    std::error_code ignored;
    if (!dataset && !std::filesystem::exists(path, ignored))
        throw InputError(fmt::format("{}: no such file (the map of the {})", path.string(), what));
    if (!dataset) {
        throw InputError(
            fmt::format("{} can't be read as a raster of the {} ({})", path.string(), what, errors.text()));
    }
    if (dataset->GetRasterCount() != 1) {
        throw InputError(fmt::format("{} has {} bands; give the {} as a raster of one", path.string(),
                                     dataset->GetRasterCount(), what));
    }
    const OGRSpatialReference* crs = dataset->GetSpatialRef();
    if (crs == nullptr || crs->IsEmpty())
        throw InputError(fmt::format("{} doesn't say its CRS; save it again with one", path.string()));
    return dataset;
}

/// SI for one of the band's unit.
double unit_of(GDALRasterBand& band, Dimension dimension, const std::string& file, const std::string& what) {
    const std::string unit = band.GetUnitType();
    if (unit.empty()) {
        throw InputError(fmt::format(
            "{} doesn't say the unit of its {}; write it into the file with gdal_edit.py -units {}", file,
            what, dimension == Dimension::speed ? "um/s" : "m"));
    }
    try {
        return parse_quantity("1 " + unit, dimension);
    } catch (const InputError& error) {
        throw InputError(fmt::format("{}: unit of the {}: {}", file, what, error.what()));
    }
}

}  // namespace

Field<float> read_soil_map(const std::filesystem::path& path, const std::string& what,
                           std::optional<Dimension> dimension, const Grid& grid, const GeoReference& geo) {
    const gdal::Dataset source = open_map(path, what);
    const std::string file = gdal::display_name(path);
    GDALRasterBand& band = *source->GetRasterBand(1);
    const double unit = dimension ? unit_of(band, *dimension, file, what) : 1.0;
    const gdal::Errors errors;
    Field<float> values(grid.rows, grid.cols, unknown);
    const gdal::Dataset target = gdal::over_buffer(values.data(), grid.rows, grid.cols, GDT_Float32);
    target->SetGeoTransform(const_cast<double*>(geo.transform.data()));
    const OGRSpatialReference ground_crs = gdal::crs_from(geo.wkt);
    target->SetSpatialRef(&ground_crs);
    target->GetRasterBand(1)->SetNoDataValue(static_cast<double>(unknown));
    if (GDALReprojectImage(GDALDataset::ToHandle(source.get()), nullptr, GDALDataset::ToHandle(target.get()),
                           nullptr, GRA_NearestNeighbour, 0, 0, nullptr, nullptr, nullptr) != CE_None) {
        throw InputError(fmt::format("{} can't be laid on the DEM's cells ({})", file, errors.text()));
    }
    target->FlushCache();
    for (float& value : values.all()) value = static_cast<float>(static_cast<double>(value) * unit);
    return values;
}

}  // namespace lielow
