// SPDX-License-Identifier: Apache-2.0
// Layers written are layers read, figures and all.
#include "io/sites_gpkg.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>

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

constexpr double kNan = std::numeric_limits<double>::quiet_NaN();

Wkb wkb(const char* wkt) {
    OGRGeometry* geometry = nullptr;
    OGRGeometryFactory::createFromWkt(wkt, nullptr, &geometry);
    const std::unique_ptr<OGRGeometry> owned(geometry);
    Wkb bytes(owned->WkbSize());
    owned->exportToWkb(wkbNDR, bytes.data(), wkbVariantIso);
    return bytes;
}

std::unique_ptr<OGRGeometry> geometry_of(const Wkb& bytes) {
    OGRGeometry* geometry = nullptr;
    OGRGeometryFactory::createFromWkb(bytes.data(), nullptr, &geometry, bytes.size());
    return std::unique_ptr<OGRGeometry>(geometry);
}

std::vector<VectorLayer> two_layers() {
    FarmField north;
    north.name = "North";
    north.area_m2 = 100.0;
    north.outline_wkb =
        wkb("MULTIPOLYGON (((500000 4200000,500010 4200000,500010 4199990,500000 4199990,500000 4200000)))");
    FarmField south = north;
    south.name = "South";
    const std::vector<FarmField> fields{north, south};
    VectorLayer ways{"ways", "Lines", Shape::line, {wkb("LINESTRING (500000 4200000,500020 4199990)")}, {}};
    ways.columns.push_back({"grade", "Number of the way", std::vector<std::int64_t>{7}});
    return {fields_layer(fields, {{"night_low_median_degC", "Median of the night's low, Celsius",
                                   std::vector<double>{-1.25, kNan}},
                                  {"reason", "Why", std::vector<std::string>{"cold air", ""}}}),
            ways};
}

TEST(SitesGpkg, ValuesComeBack) {
    const TempDir dir;
    write_sites_gpkg(dir / "sites.gpkg", testing::utm_place(10), two_layers());
    const DatasetPtr dataset(GDALDataset::Open((dir / "sites.gpkg").c_str(), GDAL_OF_VECTOR));
    ASSERT_TRUE(dataset);
    ASSERT_EQ(dataset->GetLayerCount(), 2);
    OGRLayer& fields = *dataset->GetLayerByName("fields");
    EXPECT_EQ(fields.GetGeomType(), wkbMultiPolygon);
    EXPECT_STREQ(fields.GetSpatialRef()->GetAuthorityCode(nullptr), "32616");
    ASSERT_EQ(fields.GetFeatureCount(), 2);
    const OGRFeatureUniquePtr first(fields.GetNextFeature());
    const OGRFeatureUniquePtr second(fields.GetNextFeature());
    EXPECT_STREQ(first->GetFieldAsString("name"), "North");
    EXPECT_DOUBLE_EQ(first->GetFieldAsDouble("area_m2"), 100.0);
    EXPECT_DOUBLE_EQ(first->GetFieldAsDouble("night_low_median_degC"), -1.25);
    EXPECT_STREQ(first->GetFieldAsString("reason"), "cold air");
    EXPECT_DOUBLE_EQ(first->GetGeometryRef()->toMultiPolygon()->get_Area(), 100.0);
    EXPECT_TRUE(second->IsFieldNull(second->GetFieldIndex("night_low_median_degC")));
    EXPECT_TRUE(second->IsFieldNull(second->GetFieldIndex("reason")));
    const OGRFeatureUniquePtr way(dataset->GetLayerByName("ways")->GetNextFeature());
    EXPECT_EQ(way->GetFieldAsInteger64("grade"), 7);
    EXPECT_EQ(way->GetGeometryRef()->getGeometryType(), wkbLineString);
}

TEST(SitesGpkg, ColumnsAreDescribed) {
    const TempDir dir;
    write_sites_gpkg(dir / "sites.gpkg", testing::utm_place(10), two_layers());
    const DatasetPtr dataset(GDALDataset::Open((dir / "sites.gpkg").c_str(), GDAL_OF_VECTOR));
    OGRLayer* described = dataset->ExecuteSQL(
        "SELECT column_name, description FROM gpkg_data_columns WHERE table_name = 'fields' ORDER BY "
        "column_name",
        nullptr, nullptr);
    ASSERT_NE(described, nullptr);
    const OGRFeatureUniquePtr first(described->GetNextFeature());
    ASSERT_TRUE(first);
    EXPECT_STREQ(first->GetFieldAsString(0), "area_m2");
    EXPECT_STREQ(first->GetFieldAsString(1), "Area of the outline, square metres");
    dataset->ReleaseResultSet(described);
}

TEST(SitesGpkg, SameBytesEveryTime) {
    const TempDir dir;
    write_sites_gpkg(dir / "a.gpkg", testing::utm_place(10), two_layers());
    write_sites_gpkg(dir / "b.gpkg", testing::utm_place(10), two_layers());
    EXPECT_TRUE(read_text(dir / "a.gpkg") == read_text(dir / "b.gpkg"));
    EXPECT_EQ(
        std::distance(std::filesystem::directory_iterator(dir.path()), std::filesystem::directory_iterator()),
        2);
}

TEST(SitesGpkg, NoPlaceToWriteIsOneLine) {
    const TempDir dir;
    EXPECT_TRUE(holds(complaint<RunError>([&] {
                          write_sites_gpkg(dir / "none/sites.gpkg", testing::utm_place(10), two_layers());
                      }),
                      "can't write sites.gpkg: "));
}

TEST(SitesGpkg, ColumnOfTheWrongLengthIsRefused) {
    const TempDir dir;
    std::vector<VectorLayer> layers = two_layers();
    layers[1].columns.push_back({"more", "", std::vector<double>{1, 2}});
    EXPECT_EQ(complaint<RunError>([&] { write_sites_gpkg(dir / "x.gpkg", testing::utm_place(10), layers); }),
              "layer ways: column more has 2 values for 1 features");
}

TEST(Outlines, LabelsBecomePolygons) {
    // Label 0: an L of three cells and one that meets it at a corner; label 1: none; label 2: one cell; 3:
    // not asked for.
    Field<std::int32_t> label(4, 5, -1);
    for (const auto& [row, col] : {std::pair{0, 0}, {1, 0}, {1, 1}, {2, 2}}) label(row, col) = 0;
    label(3, 4) = 2;
    label(0, 4) = 3;
    const std::vector<Wkb> outlines = outlines_of_labels(testing::utm_place(10), std::move(label), 3);
    ASSERT_EQ(outlines.size(), 3U);
    const auto first = geometry_of(outlines[0]);
    EXPECT_DOUBLE_EQ(first->toMultiPolygon()->get_Area(), 400.0);
    EXPECT_EQ(first->toMultiPolygon()->getNumGeometries(), 2);
    EXPECT_TRUE(first->IsValid());
    EXPECT_TRUE(geometry_of(outlines[1])->IsEmpty());
    OGREnvelope third;
    geometry_of(outlines[2])->getEnvelope(&third);
    EXPECT_DOUBLE_EQ(third.MinX, 500040.0);
    EXPECT_DOUBLE_EQ(third.MaxY, 4200000.0 - 30.0);
}

/// One catchment with a hollow of two cells under water at 5 m, one that drains freely.
struct TwoCatchments {
    Field<float> z{3, 4, 9.0F};
    Catchments catchments;
    Hollows hollows;
    TwoCatchments() {
        z(1, 1) = 3.0F;
        z(1, 2) = 4.0F;
        catchments.of_cell = Field<std::int32_t>(3, 4, 0);
        for (std::int32_t r = 0; r < 3; ++r) catchments.of_cell(r, 3) = 1;
        hollows.list = {Hollow{200.0, 300.0, 2.0, 5.0F, 2, 5, 2}};
        hollows.level_of_catchment = {5.0F, 9.0F};
        hollows.hollow_of_catchment = {0, -1};
    }
};

TEST(Hollows, LayerHasOutlineAndFigures) {
    const TwoCatchments two;
    const VectorLayer layer = hollows_layer(testing::utm_place(10), two.z, two.catchments, two.hollows, 100);
    ASSERT_EQ(layer.geometries.size(), 1U);
    OGREnvelope box;
    geometry_of(layer.geometries[0])->getEnvelope(&box);
    EXPECT_DOUBLE_EQ(box.MinX, 500010.0);
    EXPECT_DOUBLE_EQ(box.MaxX, 500030.0);
    EXPECT_DOUBLE_EQ(box.MaxY, 4199990.0);
    EXPECT_DOUBLE_EQ(box.MinY, 4199980.0);
    EXPECT_EQ(std::get<std::vector<double>>(layer.columns[2].values), std::vector<double>{300.0});
    EXPECT_EQ(layer.columns[2].name, "volume_m3");
    EXPECT_EQ(hollows_layer(testing::utm_place(10), two.z, two.catchments, two.hollows, 0).geometries.size(),
              0U);
}

TEST(Hollows, SpillsLieInTheMiddleOfTheirCell) {
    const TwoCatchments two;
    const VectorLayer layer =
        hollow_spills_layer(testing::utm_place(10), Grid{3, 4, 10, 10}, two.hollows, 100);
    const auto spill = geometry_of(layer.geometries[0]);
    EXPECT_DOUBLE_EQ(spill->toPoint()->getX(), 500025.0);
    EXPECT_DOUBLE_EQ(spill->toPoint()->getY(), 4199995.0);
    const TempDir dir;
    write_sites_gpkg(dir / "x.gpkg", testing::utm_place(10), std::vector<VectorLayer>{layer});
    const DatasetPtr dataset(GDALDataset::Open((dir / "x.gpkg").c_str(), GDAL_OF_VECTOR));
    EXPECT_EQ(dataset->GetLayerByName("hollow_spills")->GetFeatureCount(), 1);
}

}  // namespace
}  // namespace lielow
