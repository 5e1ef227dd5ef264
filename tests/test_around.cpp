// SPDX-License-Identifier: Apache-2.0
// The ground around a farm: the right heights at the right places whatever its CRS, and one line for what is
// wrong.
#include <cmath>

#include "io/around.hpp"
#include "support/dem_test.hpp"
#include "support/place.hpp"

namespace lielow {
namespace {

using testing::complaint;
using testing::crs_of;
using testing::DemTest;
using testing::holds;
using testing::make_raster;
using testing::RasterSpec;

constexpr double west = 500000;
constexpr double north = 4200000;

/// A plane over UTM zone 16, m.
double plane(double x, double y) {
    return 300 + 0.02 * (x - west) - 0.03 * (y - north);
}

class AroundTest : public DemTest {
  protected:
    AroundTest() {
        RasterSpec spec;
        spec.rows = 30;
        spec.cols = 40;
        spec.value = [](int row, int col) {
            return plane(west + 10 * (col + 0.5), north - 10 * (row + 0.5));
        };
        farm_ = read(spec);
    }
    /// In the farm's CRS on 30 m cells, `beyond` m on every side of 400 m x 300 m.
    static RasterSpec wide(double beyond, double lift = 0) {
        RasterSpec spec;
        spec.rows = static_cast<int>((300 + 2 * beyond) / 30);
        spec.cols = static_cast<int>((400 + 2 * beyond) / 30) + 1;
        spec.transform = {{west - beyond, 30, 0, north + beyond, 0, -30}};
        spec.value = [=](int row, int col) {
            return plane(west - beyond + 30 * (col + 0.5), north + beyond - 30 * (row + 0.5)) + lift;
        };
        return spec;
    }
    Around read_wide(const RasterSpec& spec, AroundRequest request = {}) {
        request.path = make_raster(dir_ / "wide.tif", spec);
        if (request.reach_m == 0) request.reach_m = 600;
        return read_around(request, farm_, "dem.tif");
    }
    /// Largest error against the plane, m, `rim` cells from the edge and more.
    double error(const Around& around, int rim) const {
        const Surround& s = around.surround;
        double most = 0;
        for (int j = rim; j < s.ground.grid.rows - rim; ++j) {
            for (int i = rim; i < s.ground.grid.cols - rim; ++i) {
                const auto at = farm_.geo.at((i + 0.5 - s.first_col) * s.cell.cols,
                                             (j + 0.5 - s.first_row) * s.cell.rows);
                const double z = static_cast<double>(s.ground.z(j, i));
                most = std::max(most, std::isnan(z) ? 1e9 : std::abs(z - plane(at[0], at[1])));
            }
        }
        return most;
    }
    Dem farm_;
};

TEST_F(AroundTest, PlaneComesBackOnTheFarmsRowsAndColumns) {
    const Around around = read_wide(wide(900));
    EXPECT_EQ(around.surround.cell, (Blocks{3, 3}));
    EXPECT_EQ(around.surround.first_row, 20);  // 600 m of the 900
    EXPECT_NEAR(around.lift_m, 0, 1e-3);
    EXPECT_LT(error(around, 0),
              0.1);  // cells that the farm fills in part: a third, from 10 m farther west: 0.07 m
    EXPECT_DOUBLE_EQ(around.west_m, 600);
    EXPECT_NEAR(around.east_m, 600, 30);
}

TEST_F(AroundTest, OtherCrsLandsInTheSamePlaces) {
    // The same plane, geographic: its heights come from PROJ.
    RasterSpec spec;
    spec.crs = "EPSG:4326";
    spec.rows = 60;
    spec.cols = 60;
    spec.transform = {{-87.01, 0.0004, 0, 37.957, 0, -0.0004}};
    OGRSpatialReference degrees = crs_of("EPSG:4326");
    OGRSpatialReference utm = crs_of("EPSG:32616");
    const std::unique_ptr<OGRCoordinateTransformation> to_utm(
        OGRCreateCoordinateTransformation(&degrees, &utm));
    spec.value = [&](int row, int col) {
        double x = -87.01 + 0.0004 * (col + 0.5);
        double y = 37.957 - 0.0004 * (row + 0.5);
        to_utm->Transform(1, &x, &y);
        return plane(x, y);
    };
    const Around around = read_wide(spec);
    EXPECT_LT(std::abs(around.lift_m), 0.05);
    // On cells of 40 m the farm's last row is half filled, by heights 10 m farther north in the mean: 0.15 m.
    EXPECT_LT(error(around, 1), 0.155);
}

TEST_F(AroundTest, ReachEndsWhereTheFileEnds) {
    const Around around = read_wide(wide(240));
    EXPECT_NEAR(around.west_m, 240, 1e-6);
    EXPECT_NEAR(around.north_m, 240, 1e-6);
    EXPECT_EQ(around.surround.ground.grid.rows, 26);
    EXPECT_LT(error(around, 0), 0.1);
}

TEST_F(AroundTest, SmallDifferenceOfHeightsIsTakenOut) {
    const Around around = read_wide(wide(900, -1.5));
    EXPECT_NEAR(around.lift_m, 1.5, 1e-3);
    EXPECT_LT(error(around, 0), 0.1);
    ASSERT_FALSE(around.notes.empty());
    EXPECT_TRUE(holds(around.notes.back(), "heights are moved by +1.50 m"));
}

TEST_F(AroundTest, OtherDatumIsRefused) {
    EXPECT_TRUE(holds(complaint<InputError>([&] { read_wide(wide(900, 30)); }),
                      "wide.tif lies 30.0 m higher than dem.tif where both know the ground (median)"));
    EXPECT_TRUE(
        holds(complaint<InputError>([&] { read_wide(wide(900, -6)); }), "lies 6.0 m lower than dem.tif"));
}

TEST_F(AroundTest, UnitComesFromItsOwnKey) {
    RasterSpec spec = wide(900);
    spec.unit = "";
    EXPECT_TRUE(holds(complaint<InputError>([&] { read_wide(spec); }),
                      "wide.tif doesn't say its vertical unit; add around_vertical_unit = \"m\""));
    AroundRequest request;
    request.vertical_unit = "ft";
    EXPECT_TRUE(holds(complaint<InputError>([&] { read_wide(spec, request); }), "m lower than dem.tif"));
    request.vertical_unit = "m";
    EXPECT_LT(error(read_wide(spec, request), 0), 0.1);
    spec.crs = "";
    EXPECT_TRUE(holds(complaint<InputError>([&] { read_wide(spec, request); }), "add around_crs = "));
}

TEST_F(AroundTest, MustReachBeyondTheFarmOnEverySide) {
    EXPECT_TRUE(holds(complaint<InputError>([&] { read_wide(wide(30)); }),
                      "wide.tif must reach beyond dem.tif on every side"));
    RasterSpec elsewhere = wide(900);
    (*elsewhere.transform)[0] += 1000;
    EXPECT_TRUE(holds(complaint<InputError>([&] { read_wide(elsewhere); }), "must reach beyond dem.tif"));
    RasterSpec far_off = wide(900);
    (*far_off.transform)[0] += 100000;
    EXPECT_TRUE(holds(complaint<InputError>([&] { read_wide(far_off); }), "wide.tif"));
}

TEST_F(AroundTest, HoleOverTheFarmIsRefused) {
    RasterSpec spec = wide(900);
    spec.nodata = -9999;
    const auto whole = spec.value;
    spec.value = [whole](int row, int col) {
        return row > 29 && row < 41 && col > 29 && col < 38 ? -9999.0 : whole(row, col);
    };
    const std::string line = complaint<InputError>([&] { read_wide(spec); });
    EXPECT_TRUE(holds(line, "wide.tif leaves out"));
    EXPECT_TRUE(holds(line, "of the ground of dem.tif"));
}

}  // namespace
}  // namespace lielow
