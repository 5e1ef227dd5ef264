// SPDX-License-Identifier: Apache-2.0
#include "io/gdal_codes.hpp"

#include <fmt/format.h>
#include <gdal_alg.h>
#include <gdalwarper.h>

#include "sim/errors.hpp"

namespace lielow::gdal {

Dataset open_raster(const std::filesystem::path& path) {
    start();
    const Errors errors;
    Dataset dataset(GDALDataset::Open(path.c_str(), GDAL_OF_RASTER | GDAL_OF_READONLY));
    return dataset && dataset->GetRasterCount() > 0 ? std::move(dataset) : nullptr;
}

Field<std::int32_t> codes_on_ground(GDALDataset& source, const Grid& grid, const GeoReference& geo,
                                    const std::string& file, const std::string& what) {
    if (source.GetRasterCount() != 1) {
        throw InputError(fmt::format("{} has {} bands; give the {} as one band of class codes", file,
                                     source.GetRasterCount(), what));
    }
    const OGRSpatialReference* crs = source.GetSpatialRef();
    if (crs == nullptr || crs->IsEmpty())
        throw InputError(fmt::format("{} doesn't say its CRS; save it again with one", file));
    const Errors errors;
    Field<std::int32_t> codes(grid.rows, grid.cols, 0);
    const Dataset target = over_buffer(codes.data(), codes.rows(), codes.cols(), GDT_Int32);
    target->SetGeoTransform(const_cast<double*>(geo.transform.data()));
    const OGRSpatialReference ground_crs = crs_from(geo.wkt);
    target->SetSpatialRef(&ground_crs);
    if (GDALReprojectImage(GDALDataset::ToHandle(&source), nullptr, GDALDataset::ToHandle(target.get()),
                           nullptr, GRA_NearestNeighbour, 0, 0, nullptr, nullptr, nullptr) != CE_None) {
        throw InputError(fmt::format("{} can't be laid on the DEM's cells ({})", file, errors.text()));
    }
    target->FlushCache();
    return codes;
}

}  // namespace lielow::gdal
