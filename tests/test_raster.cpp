// SPDX-License-Identifier: Apache-2.0
// What is written is what GDAL reads back.
#include "io/raster.hpp"

#include <gdal_rat.h>
#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <vector>

#include "sim/errors.hpp"
#include "support/make_raster.hpp"
#include "support/place.hpp"
#include "support/temp_dir.hpp"

namespace lielow {
namespace {

using testing::complaint;
using testing::DatasetPtr;
using testing::holds;
using testing::read_text;
using testing::TempDir;

constexpr float kNan = std::numeric_limits<float>::quiet_NaN();
const BandLabel kLabel{"night_low", "Air temperature at plant height at its lowest", "degC"};

GeoReference place() {
    return testing::utm_place(2);
}

Field<float> slope(std::int32_t rows, std::int32_t cols) {
    Field<float> field(rows, cols);
    for (std::int32_t r = 0; r < rows; ++r) {
        for (std::int32_t c = 0; c < cols; ++c)
            field(r, c) = 0.25F * static_cast<float>(r) + static_cast<float>(c);
    }
    return field;
}

DatasetPtr open(const std::filesystem::path& path) {
    return DatasetPtr(GDALDataset::Open(path.c_str(), GDAL_OF_RASTER));
}

double item(GDALRasterBand& band, const char* name) {
    const char* text = band.GetMetadataItem(name);
    return text == nullptr ? std::numeric_limits<double>::quiet_NaN() : std::stod(text);
}

TEST(Raster, ValuesAndLabelsComeBack) {
    const TempDir dir;
    Field<float> field = slope(300, 400);
    field(7, 9) = kNan;
    write_raster(dir / "night_low.tif", place(), std::move(field), kLabel);
    const DatasetPtr dataset = open(dir / "night_low.tif");
    ASSERT_TRUE(dataset);
    GDALRasterBand& band = *dataset->GetRasterBand(1);
    EXPECT_EQ(band.GetRasterDataType(), GDT_Float32);
    EXPECT_EQ(band.GetNoDataValue(), -9999.0);
    EXPECT_STREQ(band.GetDescription(), "night_low");
    EXPECT_STREQ(band.GetMetadataItem("long_name"), "Air temperature at plant height at its lowest");
    EXPECT_STREQ(band.GetUnitType(), "degC");
    EXPECT_EQ(std::string(dataset->GetMetadataItem("TIFFTAG_SOFTWARE")).substr(0, 7), "lielow ");
    EXPECT_EQ(dataset->GetMetadataItem("TIFFTAG_DATETIME"), nullptr);
    std::vector<float> back(300 * 400);
    ASSERT_EQ(band.RasterIO(GF_Read, 0, 0, 400, 300, back.data(), 400, 300, GDT_Float32, 0, 0, nullptr),
              CE_None);
    EXPECT_EQ(back[7 * 400 + 9], -9999.0F);
    EXPECT_EQ(back[299 * 400 + 399], 0.25F * 299 + 399);
    std::array<double, 6> transform{};
    dataset->GetGeoTransform(transform.data());
    EXPECT_EQ(transform, place().transform);
    EXPECT_STREQ(dataset->GetSpatialRef()->GetAuthorityCode(nullptr), "32616");
}

TEST(Raster, ReadsItsOwnBack) {
    const TempDir dir;
    Field<float> field = slope(300, 400);
    field(7, 9) = kNan;
    write_raster(dir / "a.tif", place(), field.clone(), kLabel);
    const Field<float> back = read_raster(dir / "a.tif", {300, 400, 2, 2}, place());
    EXPECT_TRUE(std::isnan(back(7, 9)));
    EXPECT_EQ(back(299, 399), field(299, 399));
    const auto refusal = [&](const Grid& grid, const GeoReference& geo) {
        return complaint<InputError>([&] { read_raster(dir / "a.tif", grid, geo); });
    };
    GeoReference moved = place();
    moved.transform[0] += 1;
    EXPECT_TRUE(holds(refusal({300, 400, 2, 2}, moved), "doesn't lie on the cells of this site's DEM"));
    EXPECT_TRUE(holds(refusal({400, 300, 2, 2}, place()), "doesn't lie on the cells"));
    EXPECT_TRUE(holds(complaint<InputError>([&] {
                          read_raster(dir / "no.tif", {300, 400, 2, 2}, place());
                      }),
                      "can't be read as a raster"));
}

TEST(Raster, StatisticsLieInTheFile) {
    const TempDir dir;
    Field<float> field = slope(4, 8);
    field(0, 0) = kNan;  // leaves 31 cells; all 32 would have the mean 3.5 + 0.375
    write_raster(dir / "x.tif", place(), std::move(field), kLabel);
    EXPECT_FALSE(std::filesystem::exists(dir / "x.tif.aux.xml"));
    const DatasetPtr dataset = open(dir / "x.tif");
    GDALRasterBand& band = *dataset->GetRasterBand(1);
    EXPECT_NEAR(item(band, "STATISTICS_MEAN"), 32.0 * 3.875 / 31.0, 1e-9);
    EXPECT_DOUBLE_EQ(item(band, "STATISTICS_MINIMUM"), 0.25);
    EXPECT_DOUBLE_EQ(item(band, "STATISTICS_MAXIMUM"), 7.75);
}

TEST(Raster, OverviewsAverageWhatIsKnown) {
    const TempDir dir;
    Field<float> field(1200, 1400, 3.0F);
    for (std::int32_t r = 0; r < 1200; r += 2) field(r, 0) = kNan;
    for (std::int32_t r = 1; r < 1200; r += 2) field(r, 0) = 5.0F;
    write_raster(dir / "x.tif", place(), std::move(field), kLabel);
    const DatasetPtr dataset = open(dir / "x.tif");
    GDALRasterBand& band = *dataset->GetRasterBand(1);
    ASSERT_GE(band.GetOverviewCount(), 1);
    GDALRasterBand& overview = *band.GetOverview(0);
    EXPECT_EQ(overview.GetXSize(), 700);
    std::array<float, 2> corner{};
    ASSERT_EQ(overview.RasterIO(GF_Read, 0, 0, 2, 1, corner.data(), 2, 1, GDT_Float32, 0, 0, nullptr),
              CE_None);
    EXPECT_NEAR(corner[0], (5.0 + 3.0 + 3.0) / 3.0, 1e-6);
    EXPECT_EQ(corner[1], 3.0F);
}

TEST(Raster, WithoutAnyValue) {
    const TempDir dir;
    write_raster(dir / "x.tif", place(), Field<float>(5, 6, kNan), kLabel);
    const DatasetPtr dataset = open(dir / "x.tif");
    ASSERT_TRUE(dataset);
    EXPECT_EQ(dataset->GetRasterBand(1)->GetMetadataItem("STATISTICS_MEAN"), nullptr);
}

TEST(Raster, RotatedPositionIsKept) {
    const TempDir dir;
    GeoReference geo = place();
    geo.transform = {500000, 1.6, 1.2, 4200000, 1.2, -1.6};
    write_raster(dir / "x.tif", geo, slope(5, 6), kLabel);
    const DatasetPtr dataset = open(dir / "x.tif");
    std::array<double, 6> transform{};
    ASSERT_EQ(dataset->GetGeoTransform(transform.data()), CE_None);
    for (std::size_t i = 0; i < 6; ++i) EXPECT_NEAR(transform[i], geo.transform[i], 1e-9);
}

TEST(Raster, SameBytesEveryTime) {
    const TempDir dir;
    write_raster(dir / "a.tif", place(), slope(1100, 1300), kLabel);
    write_raster(dir / "b.tif", place(), slope(1100, 1300), kLabel);
    const std::string bytes = read_text(dir / "a.tif");
    EXPECT_GT(bytes.size(), 1000U);
    EXPECT_TRUE(bytes == read_text(dir / "b.tif"));
}

TEST(Raster, NoPlaceToWriteIsOneLine) {
    const TempDir dir;
    const std::string text =
        complaint<RunError>([&] { write_raster(dir / "none/night_low.tif", place(), slope(5, 6), kLabel); });
    EXPECT_TRUE(holds(text, "can't write night_low.tif: "));
}

TEST(ClassRaster, ClassesColoursAndNamesComeBack) {
    const TempDir dir;
    Field<std::uint8_t> field(1100, 1100, std::uint8_t{2});
    field(0, 0) = kNoClass;
    field(0, 1) = 1;
    const std::array<RasterClass, 2> classes{{{1, "good", {10, 20, 30}}, {2, "poor", {200, 100, 0}}}};
    write_class_raster(dir / "siting.tif", place(), std::move(field), {"siting", "Class of the ground", ""},
                       classes);
    const DatasetPtr dataset = open(dir / "siting.tif");
    ASSERT_TRUE(dataset);
    GDALRasterBand& band = *dataset->GetRasterBand(1);
    EXPECT_EQ(band.GetRasterDataType(), GDT_Byte);
    EXPECT_EQ(band.GetNoDataValue(), 255.0);
    std::array<GByte, 3> row{};
    ASSERT_EQ(band.RasterIO(GF_Read, 0, 0, 3, 1, row.data(), 3, 1, GDT_Byte, 0, 0, nullptr), CE_None);
    EXPECT_EQ(row, (std::array<GByte, 3>{255, 1, 2}));
    ASSERT_NE(band.GetColorTable(), nullptr);
    EXPECT_EQ(band.GetColorTable()->GetColorEntry(2)->c1, 200);
    EXPECT_EQ(band.GetColorTable()->GetColorEntry(1)->c3, 30);
    const CPLStringList names(band.GetCategoryNames(), FALSE);
    ASSERT_EQ(names.Count(), 3);
    EXPECT_STREQ(names[1], "good");
    EXPECT_STREQ(names[2], "poor");
    ASSERT_GE(band.GetOverviewCount(), 1);
    GByte corner = 0;
    ASSERT_EQ(band.GetOverview(0)->RasterIO(GF_Read, 0, 0, 1, 1, &corner, 1, 1, GDT_Byte, 0, 0, nullptr),
              CE_None);
    EXPECT_EQ(corner, 2);  // the most frequent of none, 1, 2, 2
}

TEST(ClassRaster, AttributeTableStatisticsAndAHarmlessPalette) {
    const TempDir dir;
    Field<std::uint8_t> field(30, 40, std::uint8_t{2});
    for (std::int32_t i = 0; i < 40; ++i) field(0, i) = kNoClass;
    for (std::int32_t i = 0; i < 7; ++i) field(1, i) = 5;
    const std::array<RasterClass, 3> classes{{{2, "poor", {200, 100, 0}},
                                              {3, "nowhere here", {9, 8, 7}},
                                              {5, "good, \"best\" & <dry>", {10, 20, 30}}}};
    write_class_raster(dir / "x.tif", place(), std::move(field), {"x", "Class of the ground", ""}, classes);
    const DatasetPtr dataset = open(dir / "x.tif");
    GDALRasterBand& band = *dataset->GetRasterBand(1);
    const GDALRasterAttributeTable* table = band.GetDefaultRAT();
    ASSERT_NE(table, nullptr);
    ASSERT_EQ(table->GetRowCount(), 3);
    const auto column = [&](GDALRATFieldUsage usage) { return table->GetColOfUsage(usage); };
    EXPECT_EQ(table->GetValueAsInt(2, column(GFU_MinMax)), 5);
    EXPECT_STREQ(table->GetValueAsString(2, column(GFU_Name)), "good, \"best\" & <dry>");
    EXPECT_EQ(table->GetValueAsInt(0, column(GFU_Red)), 200);
    EXPECT_EQ(table->GetValueAsInt(0, column(GFU_Green)), 100);
    EXPECT_EQ(table->GetValueAsInt(2, column(GFU_Blue)), 30);
    EXPECT_EQ(table->GetValueAsDouble(0, column(GFU_PixelCount)), 30 * 40 - 40 - 7);
    EXPECT_EQ(table->GetValueAsDouble(1, column(GFU_PixelCount)), 0);
    EXPECT_EQ(table->GetValueAsDouble(2, column(GFU_PixelCount)), 7);
    const GDALColorTable& colours = *band.GetColorTable();
    for (const int unused : {0, 1, 4, 200}) EXPECT_EQ(colours.GetColorEntry(unused)->c1, 255) << unused;
    EXPECT_EQ(colours.GetColorEntry(kNoClass)->c4, 0) << "GDAL makes the nodata entry see-through";

    std::filesystem::remove(dir / "x.tif.aux.xml");  // statistics don't hang on the file beside it
    const DatasetPtr alone = open(dir / "x.tif");
    GDALRasterBand& bare = *alone->GetRasterBand(1);
    EXPECT_EQ(item(bare, "STATISTICS_MINIMUM"), 2);
    EXPECT_EQ(item(bare, "STATISTICS_MAXIMUM"), 5);
    EXPECT_NEAR(item(bare, "STATISTICS_MEAN"), (2.0 * 1153 + 5.0 * 7) / 1160, 1e-12);
    EXPECT_EQ(bare.GetDefaultRAT(), nullptr);
}

TEST(ClassRaster, NothingOfAnOlderFileStays) {
    const TempDir dir;
    const auto write = [&](std::uint8_t value, const char* name) {
        const std::array<RasterClass, 1> classes{{{value, name, {10, 20, 30}}}};
        write_class_raster(dir / "x.tif", place(), Field<std::uint8_t>(30, 40, value), {"x", "Class", ""},
                           classes);
        const DatasetPtr dataset = open(dir / "x.tif");
        const GDALRasterAttributeTable* table = dataset->GetRasterBand(1)->GetDefaultRAT();
        EXPECT_EQ(table->GetRowCount(), 1);
        EXPECT_STREQ(table->GetValueAsString(0, 1), name);
    };
    write(7, "old");
    write(1, "new");
    write_raster(dir / "x.tif", place(), slope(30, 40), kLabel);
    EXPECT_FALSE(std::filesystem::exists(dir / "x.tif.aux.xml"));
}

}  // namespace
}  // namespace lielow
