// SPDX-License-Identifier: Apache-2.0
#include "io/result_grid.hpp"

#include <fmt/format.h>

#include <cmath>
#include <limits>

#include "io/gdal_session.hpp"
#include "sim/errors.hpp"

namespace lielow {
namespace {

std::vector<RasterClass> classes_of(GDALRasterBand& band) {
    std::vector<RasterClass> classes;
    const GDALColorTable* colours = band.GetColorTable();
    if (colours == nullptr) return classes;
    char** const names = band.GetCategoryNames();
    for (int value = 0; names != nullptr && names[value] != nullptr && value < kNoClass; ++value) {
        if (names[value][0] == '\0') continue;
        GDALColorEntry entry{};
        colours->GetColorEntryAsRGB(value, &entry);
        const auto byte = [](short c) { return static_cast<std::uint8_t>(c); };
        classes.push_back({static_cast<std::uint8_t>(value),
                           names[value],
                           {byte(entry.c1), byte(entry.c2), byte(entry.c3)}});
    }
    return classes;
}

void blank_nodata(GDALRasterBand& band, Field<float>& values) {
    int has_nodata = 0;
    const auto nodata = static_cast<float>(band.GetNoDataValue(&has_nodata));
    if (has_nodata == 0) return;
    for (float& v : values.all()) {
        if (v == nodata) v = std::numeric_limits<float>::quiet_NaN();
    }
}

}  // namespace

std::int32_t thinning(std::int32_t rows, std::int32_t cols, std::size_t most_cells) {
    const double cells = static_cast<double>(rows) * static_cast<double>(cols);
    return std::max(1,
                    static_cast<std::int32_t>(std::ceil(std::sqrt(cells / static_cast<double>(most_cells)))));
}

std::optional<ResultGrid> read_result_grid(const std::filesystem::path& path, std::int32_t every) {
    if (!std::filesystem::exists(path)) return std::nullopt;
    gdal::start();
    const gdal::Errors errors;
    const gdal::Dataset dataset(GDALDataset::Open(path.c_str(), GDAL_OF_RASTER | GDAL_OF_READONLY));
    if (!dataset) throw RunError(fmt::format("{} can't be read again: {}", path.string(), errors.text()));
    GDALRasterBand& band = *dataset->GetRasterBand(1);
    Field<float> all(band.GetYSize(), band.GetXSize());
    if (band.RasterIO(GF_Read, 0, 0, all.cols(), all.rows(), all.data(), all.cols(), all.rows(), GDT_Float32,
                      0, 0, nullptr) != CE_None) {
        throw RunError(fmt::format("{} can't be read again: {}", path.string(), errors.text()));
    }
    blank_nodata(band, all);
    const char* const sentence = band.GetMetadataItem("long_name");
    return ResultGrid{every == 1 ? std::move(all) : thinned(all, every),
                      {path.stem().string(), sentence == nullptr ? "" : sentence, band.GetUnitType()},
                      classes_of(band)};
}

}  // namespace lielow
