// SPDX-License-Identifier: Apache-2.0
// Feet or metres: from the file or the site file, never guessed.
#include <cmath>

#include "support/dem_test.hpp"

namespace lielow {
namespace {

using testing::complaint;
using testing::DemTest;
using testing::holds;
using testing::kFoot;
using testing::kSurveyFoot;
using testing::noted;
using testing::RasterSpec;

TEST_F(DemTest, InternationalFeetFromBand) {
    RasterSpec spec;
    spec.unit = "foot";
    const Dem dem = read(spec);
    EXPECT_EQ(dem.vertical_unit, "ft");
    EXPECT_FLOAT_EQ(dem.ground.z(0, 0), static_cast<float>(100.0 * kFoot));
}

TEST_F(DemTest, SurveyFeetFromBand) {
    RasterSpec spec;
    spec.unit = "US survey foot";
    spec.value = [](int, int) { return 20000.0; };  // where the two feet differ by 12 mm
    const Dem dem = read(spec);
    EXPECT_EQ(dem.vertical_unit, "us-ft");
    EXPECT_FLOAT_EQ(dem.ground.z(0, 0), static_cast<float>(20000.0 * kSurveyFoot));
    EXPECT_NE(dem.ground.z(0, 0), static_cast<float>(20000.0 * kFoot));
}

TEST_F(DemTest, SurveyFeetFromVerticalCrsAndHorizontally) {
    RasterSpec spec;
    spec.crs = "EPSG:2926+6360";  // NAD83(HARN) / Washington North (ftUS) + NAVD88 height (ftUS)
    spec.transform = {{1200000, 3, 0, 250000, 0, -3}};
    spec.unit = "";
    const Dem dem = read(spec);
    EXPECT_EQ(dem.vertical_unit, "us-ft");
    EXPECT_EQ(dem.vertical_unit_from, "vertical CRS");
    EXPECT_FLOAT_EQ(dem.ground.z(0, 0), static_cast<float>(100.0 * kSurveyFoot));
    EXPECT_DOUBLE_EQ(dem.ground.grid.dx, 3.0 * dem.geo.metres_per_unit);
    EXPECT_NEAR(dem.geo.metres_per_unit, kSurveyFoot, 1e-14);
    EXPECT_EQ(dem.geo.wkt.find("NAVD88"), std::string::npos);  // horizontal only
    EXPECT_TRUE(noted(dem, "lengths are converted"));
}

TEST_F(DemTest, InternationalFeetFromVerticalCrs) {
    RasterSpec spec;
    spec.crs = "EPSG:32616+8228";  // NAVD88 height (ft)
    spec.unit = "";
    const Dem dem = read(spec);
    EXPECT_EQ(dem.vertical_unit, "ft");
    EXPECT_FLOAT_EQ(dem.ground.z(0, 0), static_cast<float>(100.0 * kFoot));
}

TEST_F(DemTest, UnsaidUnitIsAskedFor) {
    RasterSpec spec;
    spec.unit = "";
    EXPECT_EQ(complaint<InputError>([&] { read(spec); }),
              "dem.tif doesn't say its vertical unit; add vertical_unit = \"m\" or \"ft\" under [ground]");
}

TEST_F(DemTest, FeetOnTheMapDontMakeFeetOfHeights) {
    RasterSpec spec;
    spec.crs = "EPSG:2926";
    spec.transform = {{1200000, 3, 0, 250000, 0, -3}};
    spec.unit = "";
    EXPECT_TRUE(holds(complaint<InputError>([&] { read(spec); }), "doesn't say its vertical unit"));
}

TEST_F(DemTest, ContradictionIsAskedFor) {
    RasterSpec spec;
    spec.crs = "EPSG:32616+5703";  // NAVD88 height, metres
    spec.unit = "US survey foot";
    const std::string text = complaint<InputError>([&] { read(spec); });
    EXPECT_TRUE(holds(text, "dem.tif's vertical CRS says metres but its band says US survey feet"));
    EXPECT_TRUE(holds(text, "vertical_unit = "));
}

TEST_F(DemTest, SiteFileSettlesAContradiction) {
    RasterSpec spec;
    spec.crs = "EPSG:32616+5703";
    spec.unit = "US survey foot";
    DemRequest request;
    request.vertical_unit = "ft";
    const Dem dem = read(spec, request);
    EXPECT_EQ(dem.vertical_unit_from, "site file");
    EXPECT_FLOAT_EQ(dem.ground.z(0, 0), static_cast<float>(100.0 * kFoot));
    EXPECT_TRUE(noted(dem, "the file says metres, the site file says international feet"));
}

TEST_F(DemTest, OddUnitsAreRefused) {
    RasterSpec spec;
    spec.unit = "degC";
    EXPECT_TRUE(holds(complaint<InputError>([&] { read(spec); }), "dem.tif's band is in \"degC\""));
    DemRequest request;
    request.vertical_unit = "yards";
    EXPECT_TRUE(
        holds(complaint<InputError>([&] { read({}, request); }), "vertical_unit = \"yards\" for dem.tif"));
    spec.crs = "EPSG:32616+5715";  // MSL depth
    spec.unit = "m";
    EXPECT_TRUE(holds(complaint<InputError>([&] { read(spec); }), "counts downward"));
}

}  // namespace
}  // namespace lielow
