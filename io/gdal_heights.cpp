// SPDX-License-Identifier: Apache-2.0
#include "io/gdal_heights.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <optional>

#include "sim/errors.hpp"

namespace lielow::gdal {
namespace {

constexpr std::size_t kStripBytes = std::size_t{16} << 20;
constexpr double kLowestLand = -500.0;  // m; the shore of the Dead Sea lies near -440 m
constexpr double kHighestLand = 9000.0;

/// How one raw value becomes a height.
struct Reading {
    std::optional<double> nodata;
    bool masked = false;  ///< the band has a mask of its own besides nodata
    bool single = false;  ///< values are float32, so nodata is compared as such
    double scale = 1;
    double offset = 0;
    double metres = 1;
};

std::optional<double> declared_nodata(GDALRasterBand& band) {
    int has = FALSE;
    double value = 0;
    if (band.GetRasterDataType() == GDT_Int64) {
        value = static_cast<double>(band.GetNoDataValueAsInt64(&has));
    } else if (band.GetRasterDataType() == GDT_UInt64) {
        value = static_cast<double>(band.GetNoDataValueAsUInt64(&has));
    } else {
        value = band.GetNoDataValue(&has);
    }
    return has ? std::optional(value) : std::nullopt;
}

Reading reading_of(GDALRasterBand& band, double metres) {
    Reading reading;
    const int mask = band.GetMaskFlags();
    reading.nodata = declared_nodata(band);
    reading.masked = (mask & (GMF_ALL_VALID | GMF_NODATA)) == 0;
    reading.single = band.GetRasterDataType() == GDT_Float32;
    reading.scale = band.GetScale();
    reading.offset = band.GetOffset();
    reading.metres = metres;
    return reading;
}

float height(const Reading& reading, double raw) {
    constexpr double kNoHeight = std::numeric_limits<float>::max() * 0.999;
    constexpr float kUnknown = std::numeric_limits<float>::quiet_NaN();
    if (!(std::abs(raw) < kNoHeight)) return kUnknown;
    if (reading.nodata) {
        const bool same = reading.single ? static_cast<float>(raw) == static_cast<float>(*reading.nodata)
                                         : raw == *reading.nodata;
        if (same) return kUnknown;
    }
    return static_cast<float>((raw * reading.scale + reading.offset) * reading.metres);
}

void check_height(float metres, double raw, std::int32_t row, std::int32_t col, const std::string& file) {
    if (std::isnan(metres) || (metres >= kLowestLand && metres <= kHighestLand)) return;
    throw InputError(fmt::format(
        "{} holds {} ({:.0f} m) in row {}, column {}, which no land has; is its nodata value undeclared "
        "or its vertical unit wrong?",
        file, raw, metres, row + 1, col + 1));
}

struct Strip {
    std::int32_t first = 0;  // row in the file
    std::int32_t rows = 0;
    std::int32_t left = 0;  // first column in the file
    std::int32_t cols = 0;
    std::vector<double> raw;
    std::vector<GByte> mask;
};

void read_strip(GDALRasterBand& band, const Reading& reading, Strip& strip, const std::string& file) {
    const Errors errors;
    const int cols = strip.cols;
    CPLErr status = band.RasterIO(GF_Read, strip.left, strip.first, cols, strip.rows, strip.raw.data(), cols,
                                  strip.rows, GDT_Float64, 0, 0, nullptr);
    if (status == CE_None && reading.masked) {
        status = band.GetMaskBand()->RasterIO(GF_Read, strip.left, strip.first, cols, strip.rows,
                                              strip.mask.data(), cols, strip.rows, GDT_Byte, 0, 0, nullptr);
    }
    if (status != CE_None || errors.any()) {
        throw InputError(
            fmt::format("{} is damaged or cut off and can't be read to its end ({})", file, errors.text()));
    }
}

/// `top`: row of the file at which z begins there.
void convert_strip(const Reading& reading, const Strip& strip, const Layout& layout, const std::string& file,
                   std::int32_t top, Field<float>& z) {
    const std::int32_t cols = z.cols();
    for (std::int32_t r = 0; r < strip.rows; ++r) {
        const std::int32_t row = strip.first + r;
        const auto target = z.row(layout.flip_rows ? z.rows() - 1 - (row - top) : row - top);
        const std::size_t start = static_cast<std::size_t>(r) * static_cast<std::size_t>(cols);
        for (std::int32_t col = 0; col < cols; ++col) {
            const std::size_t at = start + static_cast<std::size_t>(col);
            const bool hidden = reading.masked && strip.mask[at] == 0;
            const float metres =
                hidden ? std::numeric_limits<float>::quiet_NaN() : height(reading, strip.raw[at]);
            check_height(metres, strip.raw[at], row, strip.left + col, file);
            target[static_cast<std::size_t>(layout.flip_cols ? cols - 1 - col : col)] = metres;
        }
    }
}

/// Whole blocks of the file where they fit, so that none is read twice.
std::int32_t strip_rows(GDALRasterBand& band, std::int32_t cols) {
    int block_cols = 0;
    int block_rows = 0;
    band.GetBlockSize(&block_cols, &block_rows);
    const auto fit = static_cast<std::int32_t>(
        std::max<std::size_t>(1, kStripBytes / (sizeof(double) * static_cast<std::size_t>(cols))));
    const std::int32_t rows = fit > block_rows ? fit / block_rows * block_rows : fit;
    return std::min(rows, band.GetYSize());
}

}  // namespace

Field<float> read_heights(GDALRasterBand& band, double metres_per_unit, const Layout& layout,
                          const std::string& file, std::vector<std::string>& notes) {
    const Reading reading = reading_of(band, metres_per_unit);
    if (reading.scale != 1.0 || reading.offset != 0.0) {
        notes.push_back(fmt::format("{}: the band's scale {} and offset {} are applied", file, reading.scale,
                                    reading.offset));
    }
    if (reading.masked)
        notes.push_back(fmt::format("{}: the band's mask says which cells have a value", file));
    Field<float> z(band.GetYSize(), band.GetXSize());
    read_height_window(band, metres_per_unit, layout, file, {0, 0, z.rows(), z.cols()}, z);
    if (std::none_of(z.all().begin(), z.all().end(), [](float v) { return !std::isnan(v); })) {
        throw InputError(fmt::format("{} has no cell with a value", file));
    }
    return z;
}

void read_height_window(GDALRasterBand& band, double metres_per_unit, const Layout& layout,
                        const std::string& file, const Window& window, Field<float>& z) {
    const Reading reading = reading_of(band, metres_per_unit);
    const std::int32_t top = layout.flip_rows ? band.GetYSize() - window.row - window.rows : window.row;
    Strip strip;
    strip.left = layout.flip_cols ? band.GetXSize() - window.col - window.cols : window.col;
    strip.cols = window.cols;
    const std::int32_t rows = std::min(strip_rows(band, window.cols), window.rows);
    strip.raw.resize(static_cast<std::size_t>(rows) * static_cast<std::size_t>(window.cols));
    if (reading.masked) strip.mask.resize(strip.raw.size());
    for (strip.first = top; strip.first < top + window.rows; strip.first += rows) {
        strip.rows = std::min(rows, top + window.rows - strip.first);
        read_strip(band, reading, strip, file);
        convert_strip(reading, strip, layout, file, top, z);
    }
}

}  // namespace lielow::gdal
