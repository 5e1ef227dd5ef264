// SPDX-License-Identifier: Apache-2.0
#include "io/raster.hpp"

#include <fmt/format.h>
#include <gdal_rat.h>

#include <cmath>
#include <limits>
#include <vector>

#include "io/gdal_raster.hpp"
#include "io/gdal_session.hpp"
#include "sim/errors.hpp"

namespace lielow {
namespace {

constexpr float kNoValue = -9999.0F;

void place(GDALDataset& dataset, const GeoReference& geo) {
    OGRSpatialReference crs = gdal::crs_from(geo.wkt);
    GeoReference copy = geo;
    dataset.SetGeoTransform(copy.transform.data());
    dataset.SetSpatialRef(&crs);
    dataset.SetMetadataItem("TIFFTAG_SOFTWARE", "lielow " LIELOW_VERSION);
}

void name_band(GDALRasterBand& band, const BandLabel& label) {
    band.SetDescription(label.name.c_str());
    band.SetMetadataItem("long_name", label.description.c_str());
    band.SetUnitType(label.unit.c_str());
}

/// A band without a value has no statistics; GDAL says so by failing, which is no fault here.
void count_statistics(GDALRasterBand& band) {
    const gdal::Errors errors;
    double least = 0;
    double greatest = 0;
    double mean = 0;
    double spread = 0;
    band.ComputeStatistics(FALSE, &least, &greatest, &mean, &spread, nullptr, nullptr);
}

void write_cog(const std::filesystem::path& path, GDALDataset& source, const char* resampling) {
    CPLStringList options;
    options.SetNameValue("COMPRESS", "DEFLATE");
    options.SetNameValue("PREDICTOR", "YES");
    options.SetNameValue("OVERVIEW_RESAMPLING", resampling);
    options.SetNameValue("BIGTIFF", "IF_SAFER");
    options.SetNameValue("NUM_THREADS", "ALL_CPUS");
    gdal::Errors errors;
    GDALDriver* driver = GetGDALDriverManager()->GetDriverByName("COG");
    if (driver == nullptr) throw RunError("this GDAL has no driver for Cloud-Optimized GeoTIFF");
    gdal::Dataset written(driver->CreateCopy(path.c_str(), &source, FALSE, options.List(), nullptr, nullptr));
    if (!written) gdal::throw_write_failure(path, errors);
    gdal::close_written(std::move(written), path, errors);
}

/// Palette of 256 entries, as a TIFF has them. GDAL 3.6 reads those that weren't set back as opaque black,
/// whatever their alpha was, and a GIS that lists or stretches the palette shows them: so they are white,
/// which is what a cell of no class looks like on paper.
GDALColorTable palette_of(std::span<const RasterClass> classes) {
    GDALColorTable colours;
    const GDALColorEntry unused{255, 255, 255, 255};
    for (int value = 0; value <= kNoClass; ++value) colours.SetColorEntry(value, &unused);
    for (const RasterClass& c : classes) {
        const GDALColorEntry entry{c.colour[0], c.colour[1], c.colour[2], 255};
        colours.SetColorEntry(c.value, &entry);
    }
    return colours;
}

CPLStringList names_by_value(std::span<const RasterClass> classes) {
    std::vector<std::string> names;
    for (const RasterClass& c : classes) {
        if (names.size() <= c.value) names.resize(std::size_t{c.value} + 1);
        names[c.value] = c.name;
    }
    CPLStringList list;
    for (const std::string& name : names) list.AddString(name.c_str());
    return list;
}

/// A row per class, with the columns a GIS looks for by their usage.
GDALDefaultRasterAttributeTable attribute_table(const Field<std::uint8_t>& values,
                                                std::span<const RasterClass> classes) {
    std::array<std::uint64_t, 256> cells{};
    for (const std::uint8_t v : values.all()) ++cells.at(v);
    GDALDefaultRasterAttributeTable table;
    table.SetTableType(GRTT_THEMATIC);
    table.CreateColumn("Value", GFT_Integer, GFU_MinMax);
    table.CreateColumn("Class", GFT_String, GFU_Name);
    table.CreateColumn("Red", GFT_Integer, GFU_Red);
    table.CreateColumn("Green", GFT_Integer, GFU_Green);
    table.CreateColumn("Blue", GFT_Integer, GFU_Blue);
    table.CreateColumn("Count", GFT_Real, GFU_PixelCount);  // more than 32 bits may be needed
    int row = 0;
    for (const RasterClass& c : classes) {
        table.SetValue(row, 0, int{c.value});
        table.SetValue(row, 1, c.name.c_str());
        for (int channel = 0; channel < 3; ++channel)
            table.SetValue(row, 2 + channel, int{c.colour.at(static_cast<std::size_t>(channel))});
        table.SetValue(row, 5, static_cast<double>(cells.at(c.value)));
        ++row;
    }
    return table;
}

}  // namespace

void write_raster(const std::filesystem::path& path, const GeoReference& geo, Field<float>&& values,
                  const BandLabel& label) {
    Field<float> owned = std::move(values);
    for (float& v : owned.all()) {
        if (std::isnan(v)) v = kNoValue;
    }
    const gdal::Dataset source = gdal::over_buffer(owned.data(), owned.rows(), owned.cols(), GDT_Float32);
    gdal::place_raster(*source, geo);
    gdal::copy_raster(*source, path, label);
}

namespace gdal {

void place_raster(GDALDataset& dataset, const GeoReference& geo) {
    place(dataset, geo);
    dataset.GetRasterBand(1)->SetNoDataValue(kNoValue);
}

void copy_raster(GDALDataset& source, const std::filesystem::path& path, const BandLabel& label) {
    GDALRasterBand& band = *source.GetRasterBand(1);
    name_band(band, label);
    count_statistics(band);
    write_cog(path, source, "AVERAGE");
}

}  // namespace gdal

Field<float> read_raster(const std::filesystem::path& path, const Grid& grid, const GeoReference& geo) {
    gdal::start();
    const gdal::Errors errors;
    gdal::Dataset dataset(GDALDataset::Open(path.c_str(), GDAL_OF_RASTER | GDAL_OF_READONLY));
    if (!dataset || dataset->GetRasterCount() != 1)
        throw InputError(fmt::format(
            "{} can't be read as a raster of one band; run the part that makes it again", path.string()));
    std::array<double, 6> transform{};
    dataset->GetGeoTransform(transform.data());
    const OGRSpatialReference* crs = dataset->GetSpatialRef();
    const OGRSpatialReference wanted = gdal::crs_from(geo.wkt);
    const bool same_grid = dataset->GetRasterXSize() == grid.cols && dataset->GetRasterYSize() == grid.rows &&
                           transform == geo.transform && crs != nullptr && crs->IsSame(&wanted) != 0;
    if (!same_grid)
        throw InputError(fmt::format(
            "{} doesn't lie on the cells of this site's DEM; name the results of a run on the same DEM",
            path.string()));
    Field<float> values(grid.rows, grid.cols);
    if (dataset->GetRasterBand(1)->RasterIO(GF_Read, 0, 0, grid.cols, grid.rows, values.data(), grid.cols,
                                            grid.rows, GDT_Float32, 0, 0, nullptr) != CE_None)
        throw InputError(fmt::format("{} can't be read ({})", path.string(), errors.text()));
    for (float& v : values.all()) {
        if (v == kNoValue) v = std::numeric_limits<float>::quiet_NaN();
    }
    return values;
}

void write_class_raster(const std::filesystem::path& path, const GeoReference& geo,
                        Field<std::uint8_t>&& values, const BandLabel& label,
                        std::span<const RasterClass> classes) {
    Field<std::uint8_t> owned = std::move(values);
    const gdal::Dataset source = gdal::over_buffer(owned.data(), owned.rows(), owned.cols(), GDT_Byte);
    GDALRasterBand& band = *source->GetRasterBand(1);
    place(*source, geo);
    name_band(band, label);
    band.SetNoDataValue(kNoClass);
    GDALColorTable palette = palette_of(classes);
    band.SetColorInterpretation(GCI_PaletteIndex);
    band.SetColorTable(&palette);
    band.SetCategoryNames(names_by_value(classes).List());
    const GDALDefaultRasterAttributeTable table = attribute_table(owned, classes);
    band.SetDefaultRAT(&table);
    count_statistics(band);
    write_cog(path, *source, "MODE");
}

}  // namespace lielow
