// SPDX-License-Identifier: Apache-2.0
#include "io/dem.hpp"

#include <fmt/format.h>

#include <cmath>
#include <system_error>

#include "io/gdal_dem.hpp"
#include "io/gdal_heights.hpp"
#include "io/gdal_position.hpp"
#include "io/gdal_session.hpp"
#include "io/gdal_vertical.hpp"
#include "io/gdal_warp.hpp"
#include "sim/errors.hpp"

namespace lielow {
namespace gdal {

Dataset open_dem(const std::filesystem::path& path) {
    const std::string text = path.string();
    const Errors errors;
    Dataset dataset(
        GDALDataset::Open(text.c_str(), GDAL_OF_RASTER | GDAL_OF_READONLY | GDAL_OF_VERBOSE_ERROR));
    if (dataset) return dataset;
    std::error_code ignored;
    if (!std::filesystem::exists(path, ignored)) {
        throw InputError(fmt::format("{}: no such file (the DEM)", text));
    }
    throw InputError(
        fmt::format("{} can't be read as a raster; is it one, and is it whole? ({})", text, errors.text()));
}

GDALRasterBand& only_band(GDALDataset& dataset, const std::string& file) {
    constexpr std::int32_t kFewestCells = 3;  // a side
    const int bands = dataset.GetRasterCount();
    if (bands == 0 && dataset.GetMetadata("SUBDATASETS") != nullptr) {
        throw InputError(fmt::format(
            "{} holds several rasters; give the name of the one with the heights, as gdalinfo lists it",
            file));
    }
    if (bands != 1) {
        throw InputError(fmt::format(
            "{} has {} bands; give a raster with the heights alone (gdal_translate -b)", file, bands));
    }
    GDALRasterBand& band = *dataset.GetRasterBand(1);
    if (GDALDataTypeIsComplex(band.GetRasterDataType())) {
        throw InputError(fmt::format("{} holds complex numbers; a DEM holds heights", file));
    }
    if (band.GetXSize() < kFewestCells || band.GetYSize() < kFewestCells) {
        throw InputError(fmt::format("{} has {} rows of {} cells; a DEM needs at least {} by {}", file,
                                     band.GetYSize(), band.GetXSize(), kFewestCells, kFewestCells));
    }
    return band;
}

}  // namespace gdal

namespace {

constexpr std::size_t kMostCells = 2'000'000'000U;  // catchments and cells are counted in 32 bits

void check_cells(GDALRasterBand& band, const std::string& file) {
    if (static_cast<std::size_t>(band.GetXSize()) * static_cast<std::size_t>(band.GetYSize()) > kMostCells) {
        throw InputError(
            fmt::format("{} has more than {} million cells; cut it to the farm and its surroundings", file,
                        kMostCells / 1'000'000U));
    }
}

void set_grid(Dem& dem, const OGRSpatialReference& crs, const std::string& file) {
    GeoReference& geo = dem.geo;
    Grid& grid = dem.ground.grid;
    geo.wkt = gdal::wkt_of(crs);
    geo.metres_per_unit = crs.GetLinearUnits();
    grid.rows = dem.ground.z.rows();
    grid.cols = dem.ground.z.cols();
    grid.dx = std::hypot(geo.transform[1], geo.transform[4]) * geo.metres_per_unit;
    grid.dy = std::hypot(geo.transform[2], geo.transform[5]) * geo.metres_per_unit;
    const auto middle = gdal::longitude_latitude(crs, geo.at(grid.cols / 2.0, grid.rows / 2.0), file);
    geo.longitude_deg = middle[0];
    geo.latitude_deg = middle[1];
}

void note_grid(const Dem& dem, const OGRSpatialReference& crs, const std::string& file,
               std::vector<std::string>& notes) {
    const Grid& grid = dem.ground.grid;
    if (dem.warped) {
        notes.push_back(
            fmt::format("{}: geographic, warped to {} with cells of {:.2f} m", file, crs.GetName(), grid.dx));
    } else if (std::abs(grid.dx / grid.dy - 1.0) > 1e-6) {
        notes.push_back(fmt::format("{}: cells are {:.3f} m along a row and {:.3f} m down a column, kept so",
                                    file, grid.dx, grid.dy));
    }
    if (std::abs(dem.geo.metres_per_unit - 1.0) > 1e-9) {
        const char* unit = nullptr;
        crs.GetLinearUnits(&unit);
        notes.push_back(fmt::format("{}: its map is in {}, lengths are converted to metres", file, unit));
    }
}

void bridge(Dem& dem, double largest_m2, const std::string& file) {
    Ground& ground = dem.ground;
    ground.known = Field<std::uint8_t>(ground.grid.rows, ground.grid.cols);
    for (std::size_t i = 0; i < ground.z.size(); ++i) ground.known[i] = std::isnan(ground.z[i]) ? 0 : 1;
    dem.holes = bridge_small_holes(
        ground, static_cast<std::size_t>(std::max(0.0, largest_m2) / ground.grid.cell_area()));
    if (dem.holes.bridged_holes > 0) {
        dem.notes.push_back(
            fmt::format("{}: small holes bridged for the flow: {} (cells: {}); results leave them out", file,
                        dem.holes.bridged_holes, dem.holes.bridged_cells));
    }
    if (dem.holes.open_holes > 0) {
        dem.notes.push_back(
            fmt::format("{}: holes too large to bridge: {} (cells: {}); water and air leave the ground there",
                        file, dem.holes.open_holes, dem.holes.open_cells));
    }
}

}  // namespace

Dem read_dem_with_holes(const DemRequest& request) {
    gdal::start();
    const std::string file = gdal::display_name(request.path);
    const gdal::Dataset dataset = gdal::open_dem(request.path);
    GDALRasterBand& band = gdal::only_band(*dataset, file);
    check_cells(band, file);
    Dem dem;
    const gdal::Layout layout = gdal::layout_of(*dataset, file, dem.notes);
    OGRSpatialReference crs = gdal::dem_crs(*dataset, request.crs, file, dem.notes, request.key_prefix);
    const gdal::VerticalUnit unit = gdal::vertical_unit(crs, band.GetUnitType(), request.vertical_unit, file,
                                                        dem.notes, request.key_prefix);
    dem.vertical_unit = unit.name;
    dem.vertical_unit_from = unit.from;
    dem.ground.z = gdal::read_heights(band, unit.metres, layout, file, dem.notes);
    dem.geo.transform = layout.transform;
    crs = gdal::horizontal(crs);
    if (crs.IsGeographic()) {
        gdal::Warped warped = gdal::warp_to_utm(dem.ground.z, layout.transform, crs, file);
        dem.ground.z = std::move(warped.z);
        dem.geo.transform = warped.transform;
        crs = warped.crs;
        dem.warped = true;
    }
    set_grid(dem, crs, file);
    note_grid(dem, crs, file, dem.notes);
    return dem;
}

Dem read_dem(const DemRequest& request) {
    Dem dem = read_dem_with_holes(request);
    bridge(dem, request.bridge_area_m2, gdal::display_name(request.path));
    return dem;
}

}  // namespace lielow
