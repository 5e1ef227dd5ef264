// SPDX-License-Identifier: Apache-2.0
#include "io/thumbnail.hpp"

#include <cpl_string.h>
#include <cpl_vsi.h>
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <vector>

#include "io/gdal_session.hpp"
#include "sim/errors.hpp"

namespace lielow {
namespace {

struct Pixels {
    int rows = 0;
    int cols = 0;
    std::vector<std::uint8_t> bands;  ///< red, green, blue, alpha, one after the other
};

[[noreturn]] void refuse(const std::filesystem::path& raster, const gdal::Errors& errors) {
    throw RunError(fmt::format("no picture can be drawn from {}: {}", raster.string(), errors.text()));
}

Colour colour_of(const GDALColorEntry& entry) {
    return {static_cast<std::uint8_t>(entry.c1), static_cast<std::uint8_t>(entry.c2),
            static_cast<std::uint8_t>(entry.c3)};
}

void paint(Pixels& pixels, std::size_t at, const Colour& colour) {
    const std::size_t band = pixels.bands.size() / 4;
    for (std::size_t c = 0; c < 3; ++c) pixels.bands[c * band + at] = colour[c];
    pixels.bands[3 * band + at] = 255;
}

/// Nearest of the scale's colours.
Colour colour_of(double value, const ThumbnailScale& scale) {
    if (value <= scale.blank_to || scale.colours.empty()) return kBlankColour;
    const double share = scale.high > scale.low ? (value - scale.low) / (scale.high - scale.low) : 0.5;
    const auto last = static_cast<double>(scale.colours.size() - 1);
    return scale.colours[static_cast<std::size_t>(std::lround(std::clamp(share, 0.0, 1.0) * last))];
}

Pixels draw(GDALRasterBand& band, int side, const ThumbnailScale& scale) {
    const int longest = std::max(band.GetXSize(), band.GetYSize());
    const double shrink = std::min(1.0, static_cast<double>(side) / longest);
    Pixels pixels{std::max(1, static_cast<int>(band.GetYSize() * shrink)),
                  std::max(1, static_cast<int>(band.GetXSize() * shrink)),
                  {}};
    const std::size_t count = static_cast<std::size_t>(pixels.rows) * static_cast<std::size_t>(pixels.cols);
    std::vector<float> values(count);
    pixels.bands.resize(count * 4, 0);
    if (band.RasterIO(GF_Read, 0, 0, band.GetXSize(), band.GetYSize(), values.data(), pixels.cols,
                      pixels.rows, GDT_Float32, 0, 0, nullptr) != CE_None)
        return {};
    int has_nodata = 0;
    const auto nodata = static_cast<float>(band.GetNoDataValue(&has_nodata));
    const GDALColorTable* table = band.GetColorTable();
    for (std::size_t i = 0; i < count; ++i) {
        if (!std::isfinite(values[i]) || (has_nodata != 0 && values[i] == nodata)) continue;
        Colour colour = colour_of(static_cast<double>(values[i]), scale);
        if (table != nullptr) {
            const GDALColorEntry* entry = table->GetColorEntry(static_cast<int>(values[i]));
            if (entry == nullptr) continue;
            colour = colour_of(*entry);
        }
        paint(pixels, i, colour);
    }
    return pixels;
}

/// The PNG driver can't create, only copy; the copy goes to a file in memory.
std::string encode(Pixels& pixels) {
    GDALDriver* memory = GetGDALDriverManager()->GetDriverByName("MEM");
    GDALDriver* png = GetGDALDriverManager()->GetDriverByName("PNG");
    if (memory == nullptr || png == nullptr) return {};
    const gdal::Dataset picture(memory->Create("", pixels.cols, pixels.rows, 4, GDT_Byte, nullptr));
    if (!picture ||
        picture->RasterIO(GF_Write, 0, 0, pixels.cols, pixels.rows, pixels.bands.data(), pixels.cols,
                          pixels.rows, GDT_Byte, 4, nullptr, 0, 0, 0, nullptr) != CE_None)
        return {};
    const char* const name = "/vsimem/lielow_thumbnail.png";
    gdal::Dataset(png->CreateCopy(name, picture.get(), FALSE, nullptr, nullptr, nullptr)).reset();
    vsi_l_offset size = 0;
    GByte* bytes = VSIGetMemFileBuffer(name, &size, TRUE);
    std::string result;
    if (bytes != nullptr) {
        char* text = CPLBase64Encode(static_cast<int>(size), bytes);
        result = fmt::format("data:image/png;base64,{}", text);
        CPLFree(text);
    }
    VSIFree(bytes);
    VSIUnlink("/vsimem/lielow_thumbnail.png.aux.xml");
    return result;
}

}  // namespace

std::vector<std::pair<std::string, Colour>> class_legend(const std::filesystem::path& raster) {
    gdal::start();
    const gdal::Errors errors;
    const gdal::Dataset dataset(GDALDataset::FromHandle(
        GDALOpenEx(raster.c_str(), GDAL_OF_RASTER | GDAL_OF_READONLY, nullptr, nullptr, nullptr)));
    std::vector<std::pair<std::string, Colour>> legend;
    if (!dataset || dataset->GetRasterCount() < 1) return legend;
    dataset
        ->GetMetadata();  // GDAL 3.6 reads the names in the file beside the raster only when asked for this
    GDALRasterBand& band = *dataset->GetRasterBand(1);
    const GDALColorTable* table = band.GetColorTable();
    char** names = band.GetCategoryNames();
    if (table == nullptr || names == nullptr) return legend;
    for (int i = 0; names[i] != nullptr; ++i) {
        const GDALColorEntry* entry = table->GetColorEntry(i);
        if (entry != nullptr && *names[i] != '\0') legend.emplace_back(names[i], colour_of(*entry));
    }
    return legend;
}

std::string thumbnail_uri(const std::filesystem::path& raster, int side, const ThumbnailScale& scale) {
    gdal::start();
    const gdal::Errors errors;
    const gdal::Dataset dataset(GDALDataset::FromHandle(
        GDALOpenEx(raster.c_str(), GDAL_OF_RASTER | GDAL_OF_READONLY, nullptr, nullptr, nullptr)));
    if (!dataset || dataset->GetRasterCount() < 1) refuse(raster, errors);
    Pixels pixels = draw(*dataset->GetRasterBand(1), side, scale);
    std::string uri = pixels.bands.empty() ? std::string() : encode(pixels);
    if (uri.empty()) refuse(raster, errors);
    return uri;
}

}  // namespace lielow
