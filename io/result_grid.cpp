// SPDX-License-Identifier: Apache-2.0
#include "io/result_grid.hpp"

#include <fmt/format.h>

#include <cmath>
#include <limits>

#include "io/gdal_raster.hpp"
#include "sim/errors.hpp"

namespace lielow {

namespace gdal {

std::vector<RasterClass> raster_classes(GDALRasterBand& band) {
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

}  // namespace gdal

namespace {

void blank_nodata(GDALRasterBand& band, Field<float>& values) {
    int has_nodata = 0;
    const auto nodata = static_cast<float>(band.GetNoDataValue(&has_nodata));
    if (has_nodata == 0) return;
    for (float& v : values.all()) {
        if (v == nodata) v = std::numeric_limits<float>::quiet_NaN();
    }
}

/// Least and greatest; NaN where nothing is known.
std::pair<float, float> range_of(const Field<float>& values) {
    constexpr float unknown = std::numeric_limits<float>::quiet_NaN();
    std::pair<float, float> range{unknown, unknown};
    for (const float v : values.all()) {
        if (std::isnan(v)) continue;
        if (!(range.first <= v)) range.first = v;
        if (!(range.second >= v)) range.second = v;
    }
    return range;
}

/// `every_of` tells from the whole grid by how much to thin it.
template <class EveryOf>
std::optional<ResultGrid> read_with(const std::filesystem::path& path, EveryOf every_of) {
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
    const auto [least, greatest] = range_of(all);
    const std::int32_t every = every_of(all);
    const char* const sentence = band.GetMetadataItem("long_name");
    return ResultGrid{every == 1 ? std::move(all) : thinned(all, every),
                      {path.stem().string(), sentence == nullptr ? "" : sentence, band.GetUnitType()},
                      gdal::raster_classes(band),
                      least,
                      greatest};
}

}  // namespace

std::int32_t thinning(std::int32_t rows, std::int32_t cols, std::size_t most_cells) {
    const double cells = static_cast<double>(rows) * static_cast<double>(cols);
    return std::max(1,
                    static_cast<std::int32_t>(std::ceil(std::sqrt(cells / static_cast<double>(most_cells)))));
}

std::optional<ResultGrid> read_result_grid(const std::filesystem::path& path, std::int32_t every) {
    return read_with(path, [every](const Field<float>&) { return every; });
}

std::optional<ResultGrid> read_result_grid_within(const std::filesystem::path& path, std::size_t most_cells) {
    return read_with(
        path, [most_cells](const Field<float>& all) { return thinning(all.rows(), all.cols(), most_cells); });
}

}  // namespace lielow
