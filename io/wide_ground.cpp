// SPDX-License-Identifier: Apache-2.0
#include "io/wide_ground.hpp"

#include <fmt/format.h>

#include <cmath>
#include <limits>
#include <system_error>
#include <utility>

#include "io/gdal_dem.hpp"
#include "io/gdal_heights.hpp"
#include "io/gdal_position.hpp"
#include "io/gdal_raster.hpp"
#include "io/gdal_vertical.hpp"
#include "sim/errors.hpp"

namespace lielow {
namespace {

constexpr float kNoValue = -9999.0F;  // as write_raster's

}  // namespace

struct WideDem::Inner {
    std::string file;
    gdal::Dataset dataset;
    gdal::Layout layout;
    double metres = 1;
    Grid grid;
    GeoReference geo;
    std::vector<std::string> notes;
};

WideDem::WideDem(const DemRequest& request) : inner_(std::make_unique<Inner>()) {
    gdal::start();
    Inner& in = *inner_;
    in.file = gdal::display_name(request.path);
    in.dataset = gdal::open_dem(request.path);
    GDALRasterBand& band = gdal::only_band(*in.dataset, in.file);
    in.layout = gdal::layout_of(*in.dataset, in.file, in.notes);
    OGRSpatialReference crs = gdal::dem_crs(*in.dataset, request.crs, in.file, in.notes, request.key_prefix);
    in.metres = gdal::vertical_unit(crs, band.GetUnitType(), request.vertical_unit, in.file, in.notes,
                                    request.key_prefix)
                    .metres;
    crs = gdal::horizontal(crs);
    if (crs.IsGeographic())
        throw InputError(fmt::format(
            "{} is in degrees, which isn't worked on by tiles; warp it to metres first (gdalwarp -t_srs)",
            in.file));
    in.geo.transform = in.layout.transform;
    in.geo.wkt = gdal::wkt_of(crs);
    in.geo.metres_per_unit = crs.GetLinearUnits();
    const auto& t = in.geo.transform;
    in.grid = {band.GetYSize(), band.GetXSize(), std::hypot(t[1], t[4]) * in.geo.metres_per_unit,
               std::hypot(t[2], t[5]) * in.geo.metres_per_unit};
    const auto middle =
        gdal::longitude_latitude(crs, in.geo.at(in.grid.cols / 2.0, in.grid.rows / 2.0), in.file);
    in.geo.longitude_deg = middle[0];
    in.geo.latitude_deg = middle[1];
}

WideDem::~WideDem() = default;

const Grid& WideDem::grid() const {
    return inner_->grid;
}
const GeoReference& WideDem::geo() const {
    return inner_->geo;
}
const std::vector<std::string>& WideDem::notes() const {
    return inner_->notes;
}

void WideDem::read(const Window& window, Field<float>& heights) const {
    gdal::read_height_window(*inner_->dataset->GetRasterBand(1), inner_->metres, inner_->layout, inner_->file,
                             window, heights);
}

struct ScratchRaster::Inner {
    std::filesystem::path path;
    gdal::Dataset dataset;

    void transfer(GDALRWFlag way, const Window& w, void* data, GDALDataType type) const {
        const gdal::Errors errors;
        const CPLErr status = dataset->GetRasterBand(1)->RasterIO(way, w.col, w.row, w.cols, w.rows, data,
                                                                  w.cols, w.rows, type, 0, 0, nullptr);
        if (status != CE_None) gdal::throw_write_failure(path, errors);
    }
};

ScratchRaster::ScratchRaster(std::filesystem::path path, const Grid& grid, const GeoReference& geo, Kind kind)
    : inner_(std::make_unique<Inner>()) {
    gdal::start();
    inner_->path = std::move(path);
    CPLStringList options;
    options.SetNameValue("TILED", "YES");
    options.SetNameValue("BLOCKXSIZE", std::to_string(block).c_str());
    options.SetNameValue("BLOCKYSIZE", std::to_string(block).c_str());
    options.SetNameValue("SPARSE_OK", "TRUE");
    options.SetNameValue("BIGTIFF", "IF_SAFER");
    const gdal::Errors errors;
    GDALDriver* driver = GetGDALDriverManager()->GetDriverByName("GTiff");
    if (driver == nullptr) throw RunError("this GDAL has no driver for GeoTIFF");
    inner_->dataset.reset(driver->Create(inner_->path.c_str(), grid.cols, grid.rows, 1,
                                         kind == Kind::numbers ? GDT_Float32 : GDT_Byte, options.List()));
    if (!inner_->dataset) gdal::throw_write_failure(inner_->path, errors);
    if (kind == Kind::numbers) gdal::place_raster(*inner_->dataset, geo);
}

ScratchRaster::~ScratchRaster() {
    inner_->dataset.reset();
    std::error_code ignored;
    std::filesystem::remove(inner_->path, ignored);
    std::filesystem::remove(inner_->path.string() + ".aux.xml", ignored);
}

void ScratchRaster::write(const Window& window, Field<float>&& values) {
    Field<float> owned = std::move(values);
    for (float& v : owned.all()) v = std::isnan(v) ? kNoValue : v;
    inner_->transfer(GF_Write, window, owned.data(), GDT_Float32);
}

void ScratchRaster::read(const Window& window, Field<float>& values) const {
    inner_->transfer(GF_Read, window, values.data(), GDT_Float32);
    for (float& v : values.all()) v = v == kNoValue ? std::numeric_limits<float>::quiet_NaN() : v;
}

void ScratchRaster::write(const Window& window, Field<std::uint8_t>&& values) {
    Field<std::uint8_t> owned = std::move(values);
    inner_->transfer(GF_Write, window, owned.data(), GDT_Byte);
}

void ScratchRaster::read(const Window& window, Field<std::uint8_t>& values) const {
    inner_->transfer(GF_Read, window, values.data(), GDT_Byte);
}

void ScratchRaster::copy_to(const std::filesystem::path& path, const BandLabel& label) {
    gdal::copy_raster(*inner_->dataset, path, label);
}

}  // namespace lielow
