// SPDX-License-Identifier: Apache-2.0
#include "io/gdal_warp.hpp"

#include <fmt/format.h>
#include <gdal_alg.h>
#include <gdalwarper.h>

#include <algorithm>
#include <cmath>
#include <limits>

#include "sim/errors.hpp"

namespace lielow::gdal {
namespace {

constexpr double kMostNorthern = 84.0;  // degrees: UTM ends there
constexpr double kMostSouthern = -80.0;
constexpr double kWidest = 12.0;         // degrees: beyond, UTM's scale is off by more than half a percent
constexpr double kPositionError = 0.01;  // cells: what the warper may be off by to save time
constexpr double kChunkBytes = 64.0 * (1 << 20);

struct TransformerDeleter {
    void operator()(void* t) const { GDALDestroyTransformer(t); }
};
using Transformer = std::unique_ptr<void, TransformerDeleter>;

/// UTM on the datum of `crs`, so that no datum shift creeps in; on WGS 84 where longitudes don't count from
/// Greenwich.
OGRSpatialReference utm_of(const OGRSpatialReference& crs, double longitude, double latitude) {
    OGRSpatialReference utm;
    if (crs.GetPrimeMeridian() == 0.0) {
        std::unique_ptr<OGRSpatialReference> base(crs.CloneGeogCS());
        utm = *base;
    } else {
        utm.importFromEPSG(4326);
    }
    const double east = longitude - 360.0 * std::floor((longitude + 180.0) / 360.0);
    utm.SetUTM(static_cast<int>(std::floor((east + 180.0) / 6.0)) + 1, latitude >= 0.0);
    // The official definition, name and all, where the datum has one.
    const char* code = utm.AutoIdentifyEPSG() == OGRERR_NONE ? utm.GetAuthorityCode(nullptr) : nullptr;
    OGRSpatialReference official;
    if (code != nullptr && official.importFromEPSG(std::atoi(code)) == OGRERR_NONE) utm = official;
    utm.SetAxisMappingStrategy(OAMS_TRADITIONAL_GIS_ORDER);
    return utm;
}

void check_extent(const Affine& t, const Field<float>& z, double latitude, const std::string& file) {
    const double width = std::abs(t[1]) * z.cols() + std::abs(t[2]) * z.rows();
    if (width > kWidest) {
        throw InputError(fmt::format(
            "{} is {:.0f} degrees wide; cut it to the farm and its surroundings first", file, width));
    }
    if (latitude > kMostNorthern || latitude < kMostSouthern) {
        throw InputError(fmt::format(
            "{} lies at latitude {:.1f}, too near a pole for UTM; warp it to metres first", file, latitude));
    }
}

GDALWarpOptions* nan_options(GDALDataset& source, GDALDataset& target, GDALResampleAlg resampling) {
    constexpr double kNan = std::numeric_limits<double>::quiet_NaN();
    GDALWarpOptions* options = GDALCreateWarpOptions();
    options->hSrcDS = GDALDataset::ToHandle(&source);
    options->hDstDS = GDALDataset::ToHandle(&target);
    // Cubic would overshoot beside a step (a lake's shore, a terrace) and so invent hollows; bilinear never
    // leaves the range of the cells around it.
    options->eResampleAlg = resampling;
    options->dfWarpMemoryLimit = kChunkBytes;
    GDALWarpInitDefaultBandMapping(options, 1);
    GDALWarpInitSrcNoDataReal(options, kNan);
    GDALWarpInitDstNoDataReal(options, kNan);
    options->papszWarpOptions = CSLSetNameValue(options->papszWarpOptions, "INIT_DEST", "NO_DATA");
    // At its own choice the warper widens the kernel where cells grow (along a row, the more the farther from
    // the equator), and a widened kernel doesn't reproduce even a plane; cells hardly grow here, so plain
    // interpolation is right.
    options->papszWarpOptions = CSLSetNameValue(options->papszWarpOptions, "XSCALE", "1");
    options->papszWarpOptions = CSLSetNameValue(options->papszWarpOptions, "YSCALE", "1");
    return options;
}

/// Only the horizontal CRS is known to the datasets, so the warper has no heights to shift.
bool warp(GDALDataset& source, GDALDataset& target, GDALResampleAlg resampling) {
    const Transformer exact(GDALCreateGenImgProjTransformer2(GDALDataset::ToHandle(&source),
                                                             GDALDataset::ToHandle(&target), nullptr));
    if (!exact) return false;
    const Transformer quick(
        GDALCreateApproxTransformer(GDALGenImgProjTransform, exact.get(), kPositionError));
    GDALWarpOptions* options = nan_options(source, target, resampling);
    options->pTransformerArg = quick.get();
    options->pfnTransformer = GDALApproxTransform;
    GDALWarpOperation operation;
    const bool done =
        operation.Initialize(options) == CE_None &&
        operation.ChunkAndWarpImage(0, 0, target.GetRasterXSize(), target.GetRasterYSize()) == CE_None;
    GDALDestroyWarpOptions(options);
    return done;
}

/// GDAL takes no const buffer; the warper only reads its source.
Dataset placed(const Field<float>& z, const Affine& transform, const OGRSpatialReference& crs) {
    Dataset dataset = over_buffer(const_cast<float*>(z.data()), z.rows(), z.cols(), GDT_Float32);
    dataset->SetGeoTransform(const_cast<double*>(transform.data()));
    dataset->SetSpatialRef(&crs);
    return dataset;
}

/// Shape and position of the result.
bool suggest(GDALDataset& source, const OGRSpatialReference& utm, Warped& warped, int& cols, int& rows) {
    CPLStringList options;
    options.SetNameValue("DST_SRS", wkt_of(utm).c_str());
    const Transformer transformer(
        GDALCreateGenImgProjTransformer2(GDALDataset::ToHandle(&source), nullptr, options.List()));
    return transformer &&
           GDALSuggestedWarpOutput(GDALDataset::ToHandle(&source), GDALGenImgProjTransform, transformer.get(),
                                   warped.transform.data(), &cols, &rows) == CE_None;
}

}  // namespace

Warped warp_to_utm(const Field<float>& z, const Affine& transform, const OGRSpatialReference& crs,
                   const std::string& file) {
    const Errors errors;
    const auto middle =
        longitude_latitude(crs, map_position(transform, z.cols() / 2.0, z.rows() / 2.0), file);
    check_extent(transform, z, middle[1], file);
    const Dataset source = placed(z, transform, crs);
    Warped warped;
    warped.crs = utm_of(crs, middle[0], middle[1]);
    int cols = 0;
    int rows = 0;
    if (!suggest(*source, warped.crs, warped, cols, rows)) {
        throw InputError(
            fmt::format("{} can't be warped to {} ({})", file, warped.crs.GetName(), errors.text()));
    }
    warped.z = Field<float>(rows, cols);
    warp_onto(z, transform, crs, false, warped.z, warped.transform, warped.crs, file);
    return warped;
}

void warp_onto(const Field<float>& z, const Affine& transform, const OGRSpatialReference& crs, bool average,
               Field<float>& target, const Affine& target_transform, const OGRSpatialReference& target_crs,
               const std::string& file) {
    const Errors errors;
    std::fill_n(target.data(), target.size(), std::numeric_limits<float>::quiet_NaN());
    const Dataset source = placed(z, transform, crs);
    const Dataset result = placed(target, target_transform, target_crs);
    if (!warp(*source, *result, average ? GRA_Average : GRA_Bilinear) || errors.any()) {
        throw InputError(
            fmt::format("{} can't be warped to {} ({})", file, target_crs.GetName(), errors.text()));
    }
}

}  // namespace lielow::gdal
