// SPDX-License-Identifier: Apache-2.0
#include "io/page_bytes.hpp"

#include <cpl_conv.h>
#include <cpl_string.h>
#include <cpl_vsi.h>
#include <fmt/format.h>
#include <gdal_utils.h>
#include <openssl/evp.h>

#include <cmath>
#include <memory>
#include <vector>

#include "io/gdal_session.hpp"
#include "sim/errors.hpp"

namespace lielow {
namespace {

std::string deflated_text(std::vector<std::uint8_t> bytes) {
    constexpr int level = 6;  // 9 takes ten times as long and saves 3 %
    std::size_t length = 0;
    const std::unique_ptr<void, void (*)(void*)> packed(
        CPLZLibDeflate(bytes.data(), bytes.size(), level, nullptr, 0, &length), VSIFree);
    if (!packed) throw RunError("the report's grids can't be packed: out of memory");
    return base64({static_cast<const std::uint8_t*>(packed.get()), length});
}

/// A file in memory that vanishes with the object.
class MemoryFile {
  public:
    explicit MemoryFile(std::string name) : name_(std::move(name)) {}
    ~MemoryFile() { VSIUnlink(name_.c_str()); }
    MemoryFile(const MemoryFile&) = delete;
    MemoryFile& operator=(const MemoryFile&) = delete;
    [[nodiscard]] const char* name() const { return name_.c_str(); }
    [[nodiscard]] std::span<const std::uint8_t> bytes() const {
        vsi_l_offset length = 0;
        const GByte* data = VSIGetMemFileBuffer(name_.c_str(), &length, FALSE);
        return {data, static_cast<std::size_t>(length)};
    }

  private:
    std::string name_;
};

}  // namespace

std::string base64(std::span<const std::uint8_t> bytes) {
    std::string text(4 * ((bytes.size() + 2) / 3) + 1, '\0');
    const int length = EVP_EncodeBlock(reinterpret_cast<unsigned char*>(text.data()), bytes.data(),
                                       static_cast<int>(bytes.size()));
    text.resize(static_cast<std::size_t>(length));
    return text;
}

std::string packed_grid(const Field<std::int16_t>& numbers) {
    std::vector<std::uint8_t> bytes(2 * numbers.size());
    std::uint16_t before = 0;
    for (std::size_t n = 0; n < numbers.size(); ++n) {
        const auto now = static_cast<std::uint16_t>(numbers[n]);
        const auto step = static_cast<std::uint16_t>(now - before);
        bytes[n] = static_cast<std::uint8_t>(step & 0xFFU);
        bytes[numbers.size() + n] = static_cast<std::uint8_t>(step >> 8U);
        before = now;
    }
    return deflated_text(std::move(bytes));
}

std::string packed_grid(const Field<std::uint8_t>& numbers) {
    std::vector<std::uint8_t> bytes(numbers.size());
    std::uint8_t before = 0;
    for (std::size_t n = 0; n < numbers.size(); ++n) {
        bytes[n] = static_cast<std::uint8_t>(numbers[n] - before);
        before = numbers[n];
    }
    return deflated_text(std::move(bytes));
}

std::string png_address(const Field<std::uint8_t>& colours, std::span<const PaletteColour> palette) {
    Field<std::uint8_t> copy = colours.clone();
    gdal::start();
    const gdal::Errors errors;
    const gdal::Dataset source = gdal::over_buffer(copy.data(), copy.rows(), copy.cols(), GDT_Byte);
    GDALColorTable table;
    for (std::size_t n = 0; n < palette.size(); ++n) {
        const PaletteColour& c = palette[n];
        const GDALColorEntry entry{c.red, c.green, c.blue, c.alpha};
        table.SetColorEntry(static_cast<int>(n), &entry);
    }
    source->GetRasterBand(1)->SetColorTable(&table);
    const MemoryFile file("/vsimem/lielow_report.png");
    GDALDriver* driver = GetGDALDriverManager()->GetDriverByName("PNG");
    if (driver == nullptr) throw RunError("this GDAL has no driver for PNG");
    gdal::Dataset written(driver->CreateCopy(file.name(), source.get(), FALSE, nullptr, nullptr, nullptr));
    if (!written) throw RunError(fmt::format("a picture of the report can't be made: {}", errors.text()));
    written.reset();
    std::string address = "data:image/png;base64," + base64(file.bytes());
    VSIUnlink((std::string(file.name()) + ".aux.xml").c_str());
    return address;
}

Field<std::uint8_t> hillshade(const Grid& grid, const Field<float>& z) {
    constexpr float unknown = -9999.0F;
    Field<float> heights = z.clone();
    for (float& v : heights.all()) {
        if (std::isnan(v)) v = unknown;
    }
    gdal::start();
    const gdal::Errors errors;
    const gdal::Dataset source =
        gdal::over_buffer(heights.data(), heights.rows(), heights.cols(), GDT_Float32);
    source->GetRasterBand(1)->SetNoDataValue(static_cast<double>(unknown));
    std::array<double, 6> transform{0, grid.dx, 0, 0, 0, -grid.dy};
    source->SetGeoTransform(transform.data());
    CPLStringList words;
    for (const char* word : {"-of", "MEM", "-multidirectional", "-compute_edges", "-z", "3"})
        words.AddString(word);
    const std::unique_ptr<GDALDEMProcessingOptions, void (*)(GDALDEMProcessingOptions*)> options(
        GDALDEMProcessingOptionsNew(words.List(), nullptr), GDALDEMProcessingOptionsFree);
    const gdal::Dataset shaded(GDALDataset::FromHandle(GDALDEMProcessing(
        "", GDALDataset::ToHandle(source.get()), "hillshade", nullptr, options.get(), nullptr)));
    Field<std::uint8_t> shade(z.rows(), z.cols());
    if (!shaded ||
        shaded->GetRasterBand(1)->RasterIO(GF_Read, 0, 0, shade.cols(), shade.rows(), shade.data(),
                                           shade.cols(), shade.rows(), GDT_Byte, 0, 0, nullptr) != CE_None) {
        throw RunError(fmt::format("the report's shaded relief can't be made: {}", errors.text()));
    }
    return shade;
}

}  // namespace lielow
