// SPDX-License-Identifier: Apache-2.0
// What a DEM says is what the ground holds.
#include <algorithm>
#include <cmath>
#include <numbers>

#include "support/dem_test.hpp"

namespace lielow {
namespace {

using testing::complaint;
using testing::DemTest;
using testing::holds;
using testing::kFoot;
using testing::make_raster;
using testing::noted;
using testing::RasterSpec;
using testing::TempDir;

TEST_F(DemTest, MetresAreReadAsTheyStand) {
    const Dem dem = read({});
    EXPECT_EQ(dem.ground.grid, (Grid{6, 8, 10.0, 10.0}));
    EXPECT_FLOAT_EQ(dem.ground.z(2, 3), 123.0F);
    EXPECT_EQ(dem.vertical_unit, "m");
    EXPECT_EQ(dem.vertical_unit_from, "band unit");
    EXPECT_FALSE(dem.warped);
    EXPECT_EQ(dem.ground.known(5, 7), 1);
    EXPECT_TRUE(noted(dem, "dem.tif: heights are in metres (from the band unit)"));
    EXPECT_NE(dem.geo.wkt.find("32616"), std::string::npos);
}

// UTM zone 16 has its central meridian at -87 degrees, where the easting is 500 000 m by definition.
TEST_F(DemTest, MiddleIsPlacedOnEarth) {
    RasterSpec spec;
    spec.transform = {{500000 - 40, 10, 0, 0 + 30, 0, -10}};
    const Dem dem = read(spec);
    EXPECT_NEAR(dem.geo.longitude_deg, -87.0, 1e-9);
    EXPECT_NEAR(dem.geo.latitude_deg, 0.0, 1e-9);
}

struct NodataCase {
    GDALDataType type;
    double nodata;
};

class DemNodata : public ::testing::TestWithParam<NodataCase> {};

TEST_P(DemNodata, BecomesNan) {
    const TempDir dir;
    RasterSpec spec;
    spec.type = GetParam().type;
    spec.nodata = GetParam().nodata;
    spec.value = [](int row, int col) { return row == 1 && col == 2 ? GetParam().nodata : 50.0 + col; };
    DemRequest request;
    request.path = make_raster(dir / "dem.tif", spec);
    request.bridge_area_m2 = 0;
    const Dem dem = read_dem(request);
    EXPECT_TRUE(std::isnan(dem.ground.z(1, 2)));
    EXPECT_EQ(dem.ground.known(1, 2), 0);
    EXPECT_FLOAT_EQ(dem.ground.z(1, 3), 53.0F);
    EXPECT_EQ(dem.ground.known(1, 3), 1);
}

INSTANTIATE_TEST_SUITE_P(Kinds, DemNodata,
                         ::testing::Values(NodataCase{GDT_Float32, -9999.0},
                                           NodataCase{GDT_Float32, -99999.9},
                                           NodataCase{GDT_Float32, -std::numeric_limits<float>::max()},
                                           NodataCase{GDT_Float32, -3.4028234663852886e+38},
                                           NodataCase{GDT_Float32, std::numeric_limits<double>::quiet_NaN()},
                                           NodataCase{GDT_Float64, -1.7976931348623157e+308},
                                           NodataCase{GDT_Int16, -32768.0}, NodataCase{GDT_UInt16, 65535.0},
                                           NodataCase{GDT_Byte, 0.0}, NodataCase{GDT_Int32, -2147483648.0}));

TEST_F(DemTest, NodataThatIsntDeclared) {
    RasterSpec spec;
    spec.value = [](int row, int col) { return row == 2 && col == 1 ? -9999.0 : 50.0; };
    const std::string text = complaint<InputError>([&] { read(spec); });
    EXPECT_TRUE(holds(text, "dem.tif holds -9999 (-9999 m) in row 3, column 2"));
    spec.value = [](int row, int) { return row == 0 ? -3.4028234663852886e+38 : 50.0; };
    EXPECT_TRUE(std::isnan(read(spec).ground.z(0, 0)));
    spec.value = [](int, int) { return 12000.0; };  // feet taken for metres
    EXPECT_TRUE(holds(complaint<InputError>([&] { read(spec); }), "vertical unit wrong"));
}

TEST_F(DemTest, MaskBandHidesCells) {
    RasterSpec spec;
    spec.masked = [](int row, int col) { return row == 3 && col == 4; };
    DemRequest request;
    request.bridge_area_m2 = 0;
    const Dem dem = read(spec, request);
    EXPECT_TRUE(std::isnan(dem.ground.z(3, 4)));
    EXPECT_EQ(std::count(dem.ground.known.all().begin(), dem.ground.known.all().end(), 0), 1);
    EXPECT_TRUE(noted(dem, "mask"));
}

TEST_F(DemTest, WithoutAnyValueIsRefused) {
    RasterSpec spec;
    spec.nodata = -1;
    spec.value = [](int, int) { return -1.0; };
    EXPECT_EQ(complaint<InputError>([&] { read(spec); }), "dem.tif has no cell with a value");
}

TEST_F(DemTest, TooSmallIsRefused) {
    for (const auto& [rows, cols] : {std::pair{1, 1}, std::pair{1, 9}, std::pair{9, 2}}) {
        RasterSpec spec;
        spec.rows = rows;
        spec.cols = cols;
        EXPECT_TRUE(holds(complaint<InputError>([&] { read(spec); }), "dem.tif has "));
    }
}

TEST_F(DemTest, IntegersWithScaleAndOffset) {
    RasterSpec spec;
    spec.type = GDT_Int16;
    spec.unit = "ft";
    spec.scale = 0.1;
    spec.offset = 500.0;
    const Dem dem = read(spec);
    EXPECT_FLOAT_EQ(dem.ground.z(1, 1), static_cast<float>((111.0 * 0.1 + 500.0) * kFoot));
    EXPECT_TRUE(noted(dem, "scale 0.1 and offset 500"));
}

TEST_F(DemTest, SouthUpIsTurned) {
    const Dem plain = read({});
    RasterSpec spec;
    spec.transform = {{500000, 10, 0, 4200000 - 60, 0, 10}};
    spec.value = [](int row, int col) { return 100.0 + 10.0 * (5 - row) + col; };
    const Dem dem = read(spec);
    EXPECT_EQ(dem.geo.transform, plain.geo.transform);
    EXPECT_TRUE(
        std::equal(dem.ground.z.all().begin(), dem.ground.z.all().end(), plain.ground.z.all().begin()));
    EXPECT_TRUE(noted(dem, "south-up"));
}

TEST_F(DemTest, EastToWestIsTurned) {
    const Dem plain = read({});
    RasterSpec spec;
    spec.transform = {{500000 + 80, -10, 0, 4200000, 0, -10}};
    spec.value = [](int row, int col) { return 100.0 + 10.0 * row + (7 - col); };
    const Dem dem = read(spec);
    EXPECT_EQ(dem.geo.transform, plain.geo.transform);
    EXPECT_TRUE(
        std::equal(dem.ground.z.all().begin(), dem.ground.z.all().end(), plain.ground.z.all().begin()));
}

TEST_F(DemTest, RotatedIsKept) {
    const double turn = 30.0 * std::numbers::pi / 180.0;
    RasterSpec spec;
    spec.transform = {{500000, 10 * std::cos(turn), 20 * std::sin(turn), 4200000, 10 * std::sin(turn),
                       -20 * std::cos(turn)}};
    const Dem dem = read(spec);
    EXPECT_NEAR(dem.ground.grid.dx, 10.0, 1e-9);
    EXPECT_NEAR(dem.ground.grid.dy, 20.0, 1e-9);
    EXPECT_FLOAT_EQ(dem.ground.z(2, 3), 123.0F);
    EXPECT_TRUE(noted(dem, "30.0 degrees"));
    for (std::size_t i = 0; i < 6; ++i) EXPECT_NEAR(dem.geo.transform[i], (*spec.transform)[i], 1e-9);
}

TEST_F(DemTest, RotatedMirrorImageIsTurned) {
    const double turn = 30.0 * std::numbers::pi / 180.0;
    RasterSpec spec;
    spec.transform = {{500000, 10 * std::cos(turn), -10 * std::sin(turn), 4200000, 10 * std::sin(turn),
                       10 * std::cos(turn)}};
    const Dem dem = read(spec);
    const auto& t = dem.geo.transform;
    EXPECT_LT(t[1] * t[5] - t[2] * t[4], 0.0);
    // The file's cell (row 1, col 3) must lie where the file put it.
    const double x = (*spec.transform)[0] + 3.5 * (*spec.transform)[1] + 1.5 * (*spec.transform)[2];
    const double y = (*spec.transform)[3] + 3.5 * (*spec.transform)[4] + 1.5 * (*spec.transform)[5];
    const auto at = dem.geo.at(3.5, 4.5);
    EXPECT_NEAR(at[0], x, 1e-6);
    EXPECT_NEAR(at[1], y, 1e-6);
    EXPECT_FLOAT_EQ(dem.ground.z(4, 3), 113.0F);
}

TEST_F(DemTest, ShearedIsRefused) {
    RasterSpec spec;
    spec.transform = {{500000, 10, 2, 4200000, 0, -10}};
    EXPECT_TRUE(holds(complaint<InputError>([&] { read(spec); }),
                      "dem.tif's rows and columns don't meet at a right angle"));
}

TEST_F(DemTest, NonSquareCellsAreKept) {
    RasterSpec spec;
    spec.transform = {{500000, 10, 0, 4200000, 0, -25}};
    const Dem dem = read(spec);
    EXPECT_EQ(dem.ground.grid, (Grid{6, 8, 10.0, 25.0}));
    EXPECT_TRUE(noted(dem, "10.000 m along a row and 25.000 m down a column"));
}

TEST_F(DemTest, CrsIsAskedForOrTaken) {
    RasterSpec spec;
    spec.crs = "";
    EXPECT_EQ(complaint<InputError>([&] { read(spec); }),
              "dem.tif doesn't say its CRS; add crs = \"EPSG:...\" under [ground]");
    DemRequest request;
    request.crs = "EPSG:26917";
    const Dem dem = read(spec, request);
    EXPECT_NE(dem.geo.wkt.find("NAD83 / UTM zone 17N"), std::string::npos);
    EXPECT_TRUE(noted(dem, "from the site file"));
    request.crs = "EPSG:999999";
    EXPECT_TRUE(
        holds(complaint<InputError>([&] { read(spec, request); }), "crs = \"EPSG:999999\" for dem.tif"));
}

TEST_F(DemTest, CrsThatContradictsTheFileIsRefused) {
    DemRequest request;
    request.crs = "EPSG:26917";
    EXPECT_TRUE(holds(complaint<InputError>([&] { read({}, request); }),
                      "dem.tif is in WGS 84 / UTM zone 16N, but crs"));
    request.crs = "EPSG:32616";
    EXPECT_FLOAT_EQ(read({}, request).ground.z(0, 0), 100.0F);
}

TEST_F(DemTest, BoundCrsIsFollowed) {
    RasterSpec spec;
    spec.crs = "+proj=utm +zone=25 +south +ellps=intl +towgs84=-206.05,168.28,-3.82 +units=m +no_defs";
    spec.transform = {{288776, 90, 0, 9120761, 0, -90}};
    const Dem dem = read(spec);
    EXPECT_NEAR(dem.geo.latitude_deg, -7.96, 0.02);
    EXPECT_DOUBLE_EQ(dem.ground.grid.dx, 90.0);
}

TEST_F(DemTest, UnsuitableRastersAreRefused) {
    RasterSpec none;
    none.transform.reset();
    EXPECT_TRUE(holds(complaint<InputError>([&] { read(none); }), "dem.tif doesn't say where it lies"));
    RasterSpec several;
    several.bands = 3;
    EXPECT_TRUE(holds(complaint<InputError>([&] { read(several); }), "dem.tif has 3 bands"));
    RasterSpec complex;
    complex.type = GDT_CFloat32;
    EXPECT_TRUE(holds(complaint<InputError>([&] { read(complex); }), "dem.tif holds complex numbers"));
    RasterSpec geocentric;
    geocentric.crs = "EPSG:4978";
    EXPECT_TRUE(holds(complaint<InputError>([&] { read(geocentric); }), "neither geographic nor projected"));
}

TEST_F(DemTest, FilesThatArentRasters) {
    DemRequest request;
    request.path = dir_ / "nowhere.tif";
    EXPECT_TRUE(holds(complaint<InputError>([&] { read_dem(request); }), "nowhere.tif: no such file"));
    request.path = dir_ / "notes.tif";
    testing::write_text(request.path, "these are words\nnot a raster\n");
    EXPECT_TRUE(
        holds(complaint<InputError>([&] { read_dem(request); }), "notes.tif can't be read as a raster"));
    request.path = dir_.path();
    EXPECT_TRUE(holds(complaint<InputError>([&] { read_dem(request); }), "can't be read as a raster"));
}

TEST_F(DemTest, CutOffGeoTiff) {
    RasterSpec spec;
    spec.rows = 200;
    spec.cols = 200;
    spec.value = [](int row, int col) { return row + col / 7.0; };
    for (const char* compression : {"NONE", "DEFLATE"}) {
        spec.options = {{"COMPRESS", compression}};
        DemRequest request;
        request.path = make_raster(dir_ / "dem.tif", spec);
        for (const double left : {0.9, 0.5, 0.01, 0.0001}) {
            const auto size = static_cast<double>(std::filesystem::file_size(request.path));
            std::filesystem::copy_file(request.path, dir_ / "cut.tif",
                                       std::filesystem::copy_options::overwrite_existing);
            std::filesystem::resize_file(dir_ / "cut.tif", static_cast<std::uintmax_t>(size * left));
            DemRequest cut = request;
            cut.path = dir_ / "cut.tif";
            EXPECT_TRUE(holds(complaint<InputError>([&] { read_dem(cut); }), "cut.tif "))
                << compression << left;
        }
        std::filesystem::remove(request.path);
    }
}

TEST_F(DemTest, VrtAndNamedDatasetsWork) {
    make_raster(dir_ / "dem.tif", {});
    testing::write_text(
        dir_ / "dem.vrt",
        "<VRTDataset rasterXSize=\"8\" rasterYSize=\"6\"><SRS>EPSG:32616</SRS>"
        "<GeoTransform>500000, 10, 0, 4200000, 0, -10</GeoTransform>"
        "<VRTRasterBand dataType=\"Float32\" band=\"1\"><UnitType>m</UnitType><SimpleSource>"
        "<SourceFilename relativeToVRT=\"1\">dem.tif</SourceFilename><SourceBand>1</SourceBand>"
        "</SimpleSource></VRTRasterBand></VRTDataset>");
    DemRequest request;
    request.path = dir_ / "dem.vrt";
    EXPECT_FLOAT_EQ(read_dem(request).ground.z(2, 3), 123.0F);
    request.path = "GTIFF_DIR:1:" + (dir_ / "dem.tif").string();
    EXPECT_FLOAT_EQ(read_dem(request).ground.z(2, 3), 123.0F);
    std::filesystem::remove(dir_ / "dem.tif");
    request.path = dir_ / "dem.vrt";
    EXPECT_TRUE(holds(complaint<InputError>([&] { read_dem(request); }), "dem.vrt "));
}

TEST_F(DemTest, NothingIsWrittenBesideTheDem) {
    read({});
    EXPECT_EQ(std::distance(std::filesystem::directory_iterator(dir_.path()),
                            std::filesystem::directory_iterator()),
              1);
}

}  // namespace
}  // namespace lielow
