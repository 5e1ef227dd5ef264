// SPDX-License-Identifier: Apache-2.0
// Outlines in any vector file become fields on the ground.
#include "io/fields.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <numeric>

#include "sim/errors.hpp"
#include "support/make_raster.hpp"
#include "support/place.hpp"
#include "support/temp_dir.hpp"

namespace lielow {
namespace {

using testing::complaint;
using testing::holds;
using testing::make_vector;
using testing::TempDir;
using testing::VectorSpec;

/// 20 × 30 cells of 10 m from (500000, 4200000) downward.
const Grid kGrid{20, 30, 10.0, 10.0};

GeoReference place() {
    return testing::utm_place(10);
}

/// Rectangle by metres east and south of the grid's corner.
std::string box(double west, double north, double east, double south) {
    const auto point = [](double e, double s) {
        return std::to_string(500000 + e) + " " + std::to_string(4200000 - s);
    };
    return "((" + point(west, north) + "," + point(east, north) + "," + point(east, south) + "," +
           point(west, south) + "," + point(west, north) + "))";
}
std::string polygon(double west, double north, double east, double south) {
    return "POLYGON " + box(west, north, east, south);
}

class FieldsTest : public ::testing::Test {
  protected:
    std::vector<FarmField> read(const VectorSpec& spec, const std::string& file = "fields.gpkg") {
        const auto path = dir_ / file;
        std::filesystem::remove(path);
        make_vector(path, spec);
        return read_fields(path, kGrid, place(), notes_);
    }
    bool noted(const std::string& part) const {
        return std::any_of(notes_.begin(), notes_.end(), [&](const std::string& note) {
            return note.find(part) != std::string::npos && note.find('\n') == std::string::npos;
        });
    }
    TempDir dir_;
    std::vector<std::string> notes_;
};

TEST_F(FieldsTest, SharesAddUpToTheArea) {
    const std::string slanting =
        "POLYGON ((500013 4199987,500171 4199954,500228 4199871,500047 4199823,500013 4199987))";
    const auto fields = read({.shapes = {{"Slant", slanting}}});
    ASSERT_EQ(fields.size(), 1U);
    const double cells = std::accumulate(fields[0].share.begin(), fields[0].share.end(), 0.0);
    EXPECT_NEAR(cells * kGrid.cell_area() / fields[0].area_m2, 1.0, 1e-6);
}

double covered(const FarmField& field) {
    return kGrid.cell_area() * std::accumulate(field.share.begin(), field.share.end(), 0.0);
}

TEST_F(FieldsTest, WholeCells) {
    VectorSpec spec;
    spec.shapes = {{"North", polygon(20, 10, 50, 30)}};
    const auto fields = read(spec);
    ASSERT_EQ(fields.size(), 1U);
    EXPECT_EQ(fields[0].name, "North");
    EXPECT_DOUBLE_EQ(fields[0].area_m2, 600.0);
    EXPECT_EQ(fields[0].cells, (std::vector<std::uint32_t>{32, 33, 34, 62, 63, 64}));
    EXPECT_EQ(fields[0].share, std::vector<float>(6, 1.0F));
    EXPECT_TRUE(notes_.empty());
}

TEST_F(FieldsTest, SharesOfCells) {
    VectorSpec spec;
    spec.shapes = {{"North", polygon(25, 10, 40, 15)}};  // a quarter of cell 32, the upper half of 33
    const auto fields = read(spec);
    EXPECT_EQ(fields[0].cells, (std::vector<std::uint32_t>{32, 33}));
    EXPECT_EQ(fields[0].share, (std::vector<float>{0.25F, 0.5F}));
}

TEST_F(FieldsTest, CoverageOfACircleIsItsArea) {
    std::string wkt =
        "CURVEPOLYGON(CIRCULARSTRING(500050 4199900,500150 4199800,500250 4199900,500150 4200000,500050 "
        "4199900))";
    VectorSpec spec;
    spec.shapes = {{"Round", wkt}};
    const auto fields = read(spec);
    const double exact = std::numbers::pi * 100.0 * 100.0;
    EXPECT_NEAR(fields[0].area_m2, exact, 0.002 * exact);  // 90 chords; 1 - sin(4°)/(4° in radians) = 0.0008
    EXPECT_NEAR(covered(fields[0]), fields[0].area_m2, 0.005 * exact);
}

TEST_F(FieldsTest, HolesAndPartsCount) {
    VectorSpec spec;
    spec.shapes = {{"Ring", "MULTIPOLYGON (" + box(0, 0, 100, 100).substr(0, box(0, 0, 100, 100).size() - 1) +
                                "," + box(20, 20, 40, 40).substr(1) + "," + box(200, 0, 210, 10) + ")"}};
    const auto fields = read(spec);
    EXPECT_DOUBLE_EQ(fields[0].area_m2, 10000.0 - 400.0 + 100.0);
    EXPECT_DOUBLE_EQ(covered(fields[0]), fields[0].area_m2);
}

TEST_F(FieldsTest, HeightsAreDropped) {
    VectorSpec spec;
    spec.shapes = {{"North",
                    "POLYGON Z ((500020 4199990 5,500050 4199990 6,500050 4199970 7,500020 4199970 8,500020 "
                    "4199990 5))"}};
    const auto fields = read(spec);
    EXPECT_DOUBLE_EQ(fields[0].area_m2, 600.0);
    OGRGeometry* geometry = nullptr;
    OGRGeometryFactory::createFromWkb(fields[0].outline_wkb.data(), nullptr, &geometry,
                                      fields[0].outline_wkb.size());
    const std::unique_ptr<OGRGeometry> owned(geometry);
    ASSERT_TRUE(owned);
    EXPECT_EQ(owned->getGeometryType(), wkbMultiPolygon);
}

TEST_F(FieldsTest, TinyFieldKeepsItsArea) {
    VectorSpec spec;
    spec.shapes = {{"Bed", polygon(24, 14, 25, 15)}};  // between the points at 3.75 and 6.25 m of the cell
    const auto fields = read(spec);
    EXPECT_EQ(fields[0].cells, std::vector<std::uint32_t>{32});
    EXPECT_FLOAT_EQ(fields[0].share[0], 0.01F);
}

/// Corners of the rectangle in longitude and latitude, by PROJ.
std::string in_degrees(double west, double north, double east, double south) {
    OGRGeometry* geometry = nullptr;
    OGRGeometryFactory::createFromWkt(polygon(west, north, east, south).c_str(), nullptr, &geometry);
    const std::unique_ptr<OGRGeometry> owned(geometry);
    OGRSpatialReference utm = testing::crs_of("EPSG:32616");
    OGRSpatialReference degrees = testing::crs_of("EPSG:4326");
    owned->assignSpatialReference(&utm);
    owned->transformTo(&degrees);
    char* text = nullptr;
    owned->exportToWkt(&text);
    const std::string wkt = text;
    CPLFree(text);
    return wkt;
}

TEST_F(FieldsTest, OtherCrsIsBroughtOver) {
    for (const auto& [driver, file] :
         {std::pair{"GPKG", "fields.gpkg"}, std::pair{"GeoJSON", "fields.geojson"},
          std::pair{"ESRI Shapefile", "fields.shp"}}) {
        VectorSpec spec;
        spec.driver = driver;
        spec.layer = "fields";
        spec.crs = "EPSG:4326";
        spec.shapes = {{"North", in_degrees(20, 10, 50, 30)}};
        const auto fields = read(spec, file);
        ASSERT_EQ(fields.size(), 1U) << driver;
        EXPECT_NEAR(fields[0].area_m2, 600.0, 0.1) << driver;  // GeoJSON keeps seven digits of a degree, 1 cm
        EXPECT_EQ(fields[0].cells, (std::vector<std::uint32_t>{32, 33, 34, 62, 63, 64})) << driver;
        EXPECT_EQ(fields[0].name, "North");
    }
    EXPECT_TRUE(noted("fields.gpkg: brought from WGS 84 into WGS 84 / UTM zone 16N"));
}

TEST_F(FieldsTest, FeetOnTheMap) {
    VectorSpec spec;
    spec.crs = "EPSG:2926";
    spec.shapes = {
        {"North", "POLYGON ((1200000 250000,1200100 250000,1200100 249900,1200000 249900,1200000 250000))"}};
    GeoReference geo = place();
    geo.transform = {1199900, 50, 0, 250100, 0, -50};
    geo.metres_per_unit = 1200.0 / 3937.0;
    geo.wkt = testing::wkt_of("EPSG:2926");
    const Grid grid{20, 30, 50.0 * geo.metres_per_unit, 50.0 * geo.metres_per_unit};
    const auto fields = read_fields(make_vector(dir_ / "feet.gpkg", spec), grid, geo, notes_);
    EXPECT_NEAR(fields[0].area_m2, 10000.0 * geo.metres_per_unit * geo.metres_per_unit, 1e-6);
    EXPECT_EQ(fields[0].cells, (std::vector<std::uint32_t>{62, 63, 92, 93}));
}

TEST_F(FieldsTest, CrossingOutlineIsRefusedWithItsPlace) {
    VectorSpec spec;
    spec.shapes = {
        {"North", "POLYGON ((500020 4199990,500040 4199970,500040 4199990,500020 4199970,500020 4199990))"}};
    EXPECT_EQ(complaint<InputError>([&] { read(spec); }),
              "fields.gpkg: field \"North\" crosses itself near 500030.0, 4199980.0; mend the outline");
    // The same with a corner where the lines cross.
    spec.shapes = {{"North",
                    "POLYGON ((500020 4199990,500030 4199980,500040 4199970,500040 4199990,500030 4199980,"
                    "500020 4199970,500020 4199990))"}};
    EXPECT_EQ(complaint<InputError>([&] { read(spec); }),
              "fields.gpkg: field \"North\" crosses itself near 500030.0, 4199980.0; mend the outline");
}

TEST_F(FieldsTest, OutlineThatTouchesItselfIsMended) {
    VectorSpec spec;  // two triangles in one ring that meet in a point but go round the same way
    spec.shapes = {{"North",
                    "POLYGON ((500020 4199990,500030 4199980,500040 4199990,500040 4199970,500030 4199980,"
                    "500020 4199970,500020 4199990))"}};
    const auto fields = read(spec);
    EXPECT_DOUBLE_EQ(fields[0].area_m2, 200.0);
    EXPECT_TRUE(noted("field \"North\" touches itself"));
}

TEST_F(FieldsTest, UnsoundOutlineIsRefused) {
    VectorSpec spec;  // a hole outside its field
    const std::string ring = box(0, 0, 50, 50);
    spec.shapes = {
        {"North", "POLYGON " + ring.substr(0, ring.size() - 1) + "," + box(100, 100, 120, 120).substr(1)}};
    EXPECT_TRUE(holds(complaint<InputError>([&] { read(spec); }),
                      "field \"North\" has an unsound outline (Hole lies outside shell)"));
}

TEST_F(FieldsTest, OutsideIsRefusedPartlyOutsideNoted) {
    VectorSpec spec;
    spec.shapes = {{"Far", polygon(5000, 0, 5100, 100)}};
    EXPECT_EQ(complaint<InputError>([&] { read(spec); }),
              "fields.gpkg: field \"Far\" lies outside the DEM; check the CRS of both");
    spec.shapes = {{"Edge", polygon(-30, 0, 90, 50)}};
    const auto fields = read(spec);
    EXPECT_TRUE(noted("25.0 % of field \"Edge\" lies outside the DEM"));
    EXPECT_DOUBLE_EQ(fields[0].area_m2, 6000.0);
    EXPECT_DOUBLE_EQ(covered(fields[0]), 4500.0);
}

TEST_F(FieldsTest, NamesMustDiffer) {
    VectorSpec spec;
    spec.shapes = {{"North", polygon(0, 0, 50, 50)}, {"North", polygon(60, 0, 90, 50)}};
    EXPECT_EQ(complaint<InputError>([&] { read(spec); }),
              "fields.gpkg: two fields are named \"North\"; give each its own name");
}

TEST_F(FieldsTest, MissingNamesAreMadeUp) {
    VectorSpec spec;
    spec.shapes = {{std::nullopt, polygon(0, 0, 50, 50)},
                   {"  ", polygon(60, 0, 90, 50)},
                   {"South", polygon(0, 60, 50, 90)}};
    const auto fields = read(spec);
    EXPECT_EQ(fields[0].name, "field 1");
    EXPECT_EQ(fields[1].name, "field 2");
    EXPECT_EQ(fields[2].name, "South");
    EXPECT_TRUE(noted("fields.gpkg: outline 1 has no name, called \"field 1\""));
}

TEST_F(FieldsTest, NameAttributeInAnyCaseOrTheFirstText) {
    VectorSpec spec;
    spec.shapes = {{"North", polygon(0, 0, 50, 50)}};
    spec.attribute = "NAME";
    EXPECT_EQ(read(spec)[0].name, "North");
    spec.attribute = "block";
    EXPECT_EQ(read(spec)[0].name, "North");
    spec.attribute = "";
    EXPECT_EQ(read(spec)[0].name, "field 1");
}

TEST_F(FieldsTest, WithoutCrsIsRefused) {
    VectorSpec spec;
    spec.driver = "ESRI Shapefile";
    spec.type = wkbPolygon;
    spec.layer = "fields";
    spec.crs = "";
    spec.shapes = {{"North", polygon(0, 0, 50, 50)}};
    EXPECT_TRUE(
        holds(complaint<InputError>([&] { read(spec, "fields.shp"); }), "fields.shp doesn't say its CRS"));
}

TEST_F(FieldsTest, OtherShapesAreLeftOutOrRefused) {
    VectorSpec spec;
    spec.shapes = {{"Pump", "POINT (500020 4199990)"}, {"North", polygon(0, 0, 50, 50)}, {"None", ""}};
    EXPECT_EQ(read(spec).size(), 1U);
    EXPECT_TRUE(noted("2 entries aren't polygons"));
    spec.shapes = {{"Pump", "POINT (500020 4199990)"}};
    EXPECT_TRUE(holds(complaint<InputError>([&] { read(spec); }), "fields.gpkg holds no polygons"));
    spec.type = wkbPoint;
    EXPECT_TRUE(holds(complaint<InputError>([&] { read(spec); }), "fields.gpkg holds no polygons"));
}

TEST_F(FieldsTest, SeveralLayersNeedAName) {
    VectorSpec spec;
    spec.type = wkbPolygon;
    spec.shapes = {{"North", polygon(0, 0, 50, 50)}};
    spec.layer = "blocks";
    make_vector(dir_ / "farm.gpkg", spec);
    spec.layer = "parcels";
    make_vector(dir_ / "farm.gpkg", spec);
    EXPECT_TRUE(holds(complaint<InputError>([&] { read_fields(dir_ / "farm.gpkg", kGrid, place(), notes_); }),
                      "farm.gpkg holds several layers with polygons (blocks, parcels)"));
    spec.layer = "Fields";
    spec.shapes = {{"South", polygon(0, 0, 50, 50)}};
    make_vector(dir_ / "farm.gpkg", spec);
    EXPECT_EQ(read_fields(dir_ / "farm.gpkg", kGrid, place(), notes_)[0].name, "South");
}

TEST_F(FieldsTest, FilesThatArentOutlines) {
    EXPECT_TRUE(holds(complaint<InputError>([&] { read_fields(dir_ / "none.gpkg", kGrid, place(), notes_); }),
                      "none.gpkg: no such file"));
    testing::write_text(dir_ / "words.gpkg", "only words\n");
    EXPECT_TRUE(
        holds(complaint<InputError>([&] { read_fields(dir_ / "words.gpkg", kGrid, place(), notes_); }),
              "words.gpkg can't be read as outlines"));
}

TEST(WholeGround, IsOneFieldOfTheKnownCells) {
    Field<std::uint8_t> known(20, 30, std::uint8_t{1});
    known(3, 4) = 0;
    const FarmField field = whole_ground(kGrid, known, place());
    EXPECT_EQ(field.cells.size(), 599U);
    EXPECT_DOUBLE_EQ(field.area_m2, 59900.0);
    EXPECT_TRUE(std::is_sorted(field.cells.begin(), field.cells.end()));
    EXPECT_FALSE(std::binary_search(field.cells.begin(), field.cells.end(), 94U));
}

TEST_F(FieldsTest, RotatedGround) {
    const double turn = 30.0 * std::numbers::pi / 180.0;
    GeoReference geo = place();
    geo.transform = {500000,  10 * std::cos(turn), 10 * std::sin(turn),
                     4200000, 10 * std::sin(turn), -10 * std::cos(turn)};
    std::string ring;
    for (const auto& [col, row] : {std::pair{2.0, 1.0}, {5.0, 1.0}, {5.0, 2.5}, {2.0, 2.5}, {2.0, 1.0}}) {
        const auto at = geo.at(col, row);
        ring += (ring.empty() ? "" : ",") + std::to_string(at[0]) + " " + std::to_string(at[1]);
    }
    VectorSpec spec;
    spec.shapes = {{"Turned", "POLYGON ((" + ring + "))"}};
    const auto fields = read_fields(make_vector(dir_ / "turned.gpkg", spec), kGrid, geo, notes_);
    EXPECT_EQ(fields[0].cells, (std::vector<std::uint32_t>{32, 33, 34, 62, 63, 64}));
    EXPECT_EQ(fields[0].share, (std::vector<float>{1, 1, 1, 0.5F, 0.5F, 0.5F}));
    EXPECT_NEAR(fields[0].area_m2, 450.0, 1e-3);
}

}  // namespace
}  // namespace lielow
