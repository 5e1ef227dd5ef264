// SPDX-License-Identifier: Apache-2.0
// From degrees to UTM: the ground comes back at the right places and heights.
#include <cmath>

#include "support/dem_test.hpp"

namespace lielow {
namespace {

using testing::complaint;
using testing::DemTest;
using testing::holds;
using testing::kSurveyFoot;
using testing::noted;
using testing::RasterSpec;

/// Geographic plane, linear in longitude and latitude, which bilinear interpolation reproduces.
RasterSpec geographic_plane(const std::string& crs) {
    RasterSpec spec;
    spec.crs = crs;
    spec.rows = 70;
    spec.cols = 50;
    spec.transform = {{-84.4, 0.000833333333, 0, 36.4, 0, -0.000833333333}};
    spec.value = [](int row, int col) { return 300.0 + 0.7 * (col + 0.5) + 0.4 * (row + 0.5); };
    return spec;
}

/// Largest error of a warped plane against PROJ, m; rim cells, which lie partly outside the source, are left
/// out.
double plane_error(const Dem& dem, const RasterSpec& spec, double metres_per_unit) {
    const OGRSpatialReference utm = testing::crs_of(dem.geo.wkt);
    std::unique_ptr<OGRSpatialReference> base(testing::crs_of(spec.crs).CloneGeogCS());
    base->SetAxisMappingStrategy(OAMS_TRADITIONAL_GIS_ORDER);
    const std::unique_ptr<OGRCoordinateTransformation> to_degrees(
        OGRCreateCoordinateTransformation(&utm, base.get()));
    double worst = 0;
    std::size_t compared = 0;
    const auto& t = *spec.transform;
    for (std::int32_t r = 0; r < dem.ground.grid.rows; ++r) {
        for (std::int32_t c = 0; c < dem.ground.grid.cols; ++c) {
            auto at = dem.geo.at(c + 0.5, r + 0.5);
            to_degrees->Transform(1, &at[0], &at[1]);
            const double col = (at[0] - t[0]) / t[1];
            const double row = (at[1] - t[3]) / t[5];
            if (col < 0.5 || row < 0.5 || col > spec.cols - 0.5 || row > spec.rows - 0.5) continue;
            const double expected = (300.0 + 0.7 * col + 0.4 * row) * metres_per_unit;
            worst = std::max(worst, std::abs(static_cast<double>(dem.ground.z(r, c)) - expected));
            ++compared;
        }
    }
    EXPECT_GT(compared, 3000U);
    return worst;
}

// The warper may misplace a cell by 0.01 of one, which is 0.011 m on this plane.
TEST_F(DemTest, GeographicPlaneComesBackAtTheRightPlaces) {
    const RasterSpec spec = geographic_plane("EPSG:4326");
    const Dem dem = read(spec);
    EXPECT_TRUE(dem.warped);
    EXPECT_NE(dem.geo.wkt.find("WGS 84 / UTM zone 16N"), std::string::npos);
    EXPECT_DOUBLE_EQ(dem.ground.grid.dx, dem.ground.grid.dy);
    EXPECT_GT(dem.ground.grid.dx, 74.0);  // 3 arc seconds at 36.4 degrees are 74.7 m by 92.5 m
    EXPECT_LT(dem.ground.grid.dx, 93.0);
    EXPECT_LT(plane_error(dem, spec, 1.0), 0.012);
    EXPECT_NEAR(dem.geo.longitude_deg, -84.4 + 25 * 0.000833333333, 1e-3);
    EXPECT_NEAR(dem.geo.latitude_deg, 36.4 - 35 * 0.000833333333, 1e-3);
    EXPECT_TRUE(noted(dem, "geographic, warped to WGS 84 / UTM zone 16N"));
}

TEST_F(DemTest, GeographicKeepsItsDatum) {
    const Dem dem = read(geographic_plane("EPSG:4269"));
    EXPECT_NE(dem.geo.wkt.find("NAD83 / UTM zone 16N"), std::string::npos);
    EXPECT_LT(plane_error(dem, geographic_plane("EPSG:4269"), 1.0), 0.012);
}

TEST_F(DemTest, GeographicFeetAreConvertedOnce) {
    RasterSpec spec = geographic_plane("EPSG:4269+6360");
    spec.unit = "";
    const Dem dem = read(spec);
    EXPECT_EQ(dem.vertical_unit, "us-ft");
    EXPECT_LT(plane_error(dem, spec, kSurveyFoot), 0.012 * kSurveyFoot);
}

TEST_F(DemTest, EllipsoidalHeightsAreNotShifted) {
    RasterSpec spec = geographic_plane("EPSG:4979");
    const Dem dem = read(spec);
    EXPECT_LT(plane_error(dem, spec, 1.0), 0.012);
}

TEST_F(DemTest, GeographicSouthernAndEasternHemisphere) {
    RasterSpec spec = geographic_plane("EPSG:4326");
    spec.transform = {{174.5, 0.001, 0, -41.2, 0, -0.001}};
    EXPECT_NE(read(spec).geo.wkt.find("UTM zone 60S"), std::string::npos);
    spec.transform = {{360.0 - 84.4, 0.001, 0, 36.4, 0, -0.001}};  // longitudes counted to 360
    EXPECT_NE(read(spec).geo.wkt.find("UTM zone 16N"), std::string::npos);
}

TEST_F(DemTest, GeographicHoleStaysAHole) {
    RasterSpec spec = geographic_plane("EPSG:4326");
    spec.nodata = -3.4028234663852886e+38;
    spec.value = [](int row, int col) {
        return row >= 30 && row < 40 && col >= 20 && col < 30 ? -3.4028234663852886e+38 : 300.0;
    };
    DemRequest request;
    request.bridge_area_m2 = 0;
    const Dem dem = read(spec, request);
    const Grid& grid = dem.ground.grid;
    EXPECT_TRUE(std::isnan(dem.ground.z(grid.rows / 2, grid.cols / 2)));
    for (const float z : dem.ground.z.all()) {
        if (std::isnan(z)) continue;
        ASSERT_NEAR(z, 300.0, 1e-3);
    }
}

TEST_F(DemTest, GeographicBeyondUtmIsRefused) {
    RasterSpec spec = geographic_plane("EPSG:4326");
    spec.transform = {{10, 0.01, 0, 86, 0, -0.01}};
    EXPECT_TRUE(holds(complaint<InputError>([&] { read(spec); }), "too near a pole"));
    spec.transform = {{10, 0.5, 0, 50, 0, -0.5}};
    EXPECT_TRUE(holds(complaint<InputError>([&] { read(spec); }), "dem.tif is 25 degrees wide"));
}

}  // namespace
}  // namespace lielow
