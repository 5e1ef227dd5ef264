// SPDX-License-Identifier: Apache-2.0
#include "io/soil_map.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "sim/errors.hpp"
#include "support/make_raster.hpp"
#include "support/place.hpp"
#include "support/temp_dir.hpp"

namespace lielow {
namespace {

using testing::complaint;
using testing::holds;
using testing::RasterSpec;

/// 6 × 8 cells of 10 m, as RasterSpec has them.
const Grid kGrid{6, 8, 10.0, 10.0};

class SoilMap : public ::testing::Test {
  protected:
    Field<float> read(const RasterSpec& spec, std::optional<Dimension> dimension) {
        make_raster(path_, spec);
        return read_soil_map(path_, "conductivity", dimension, kGrid, testing::utm_place(10));
    }
    std::string refusal(const RasterSpec& spec, std::optional<Dimension> dimension = Dimension::speed) {
        return complaint<InputError>([&] { read(spec, dimension); });
    }
    testing::TempDir folder_;
    std::filesystem::path path_ = folder_ / "soil.tif";
};

TEST_F(SoilMap, ValuesComeInSiOnTheSameCells) {
    RasterSpec spec;
    spec.unit = "um/s";
    const Field<float> values = read(spec, Dimension::speed);
    for (int row = 0; row < 6; ++row) {
        for (int col = 0; col < 8; ++col)
            EXPECT_NEAR(values(row, col), (100.0 + 10.0 * row + col) * 1e-6, 1e-10) << row << " " << col;
    }
    spec.unit = "ft";
    EXPECT_NEAR(read(spec, Dimension::length)(2, 3), 123 * 0.3048, 1e-4);
}

TEST_F(SoilMap, SharesNeedNoUnit) {
    RasterSpec spec;
    spec.unit = "";
    spec.value = [](int, int) { return 0.06; };
    EXPECT_FLOAT_EQ(read(spec, std::nullopt)(0, 0), 0.06F);
}

// Soil units have borders: a coarse cell's value holds right up to its edge, nothing is averaged.
TEST_F(SoilMap, CoarseCellsAreTakenAsTheyAre) {
    RasterSpec spec;
    spec.rows = 3;
    spec.cols = 4;
    spec.transform = std::array<double, 6>{500000, 20, 0, 4200000, 0, -20};
    const Field<float> values = read(spec, Dimension::length);
    for (int row = 0; row < 6; ++row) {
        for (int col = 0; col < 8; ++col)
            EXPECT_FLOAT_EQ(values(row, col),
                            100.0F + 10.0F * static_cast<float>(row / 2) + static_cast<float>(col / 2))
                << row << " " << col;
    }
}

TEST_F(SoilMap, NothingWhereTheMapHoldsNothing) {
    RasterSpec spec;
    spec.cols = 4;  // the west half of the ground
    spec.nodata = -9999;
    spec.value = [](int row, int col) { return row == 1 && col == 2 ? -9999.0 : 3.0; };
    const Field<float> values = read(spec, Dimension::length);
    EXPECT_FLOAT_EQ(values(0, 3), 3.0F);
    EXPECT_TRUE(std::isnan(values(1, 2)));
    EXPECT_TRUE(std::isnan(values(0, 4)));
    EXPECT_TRUE(std::isnan(values(5, 7)));
}

TEST_F(SoilMap, AnotherCrsIsBroughtOntoTheGround) {
    RasterSpec spec;
    spec.rows = spec.cols = 40;
    spec.crs = "EPSG:4326";
    spec.transform = std::array<double, 6>{-87.002, 1e-4, 0, 37.948, 0, -1e-4};  // around 500000, 4200000
    spec.value = [](int, int) { return 2.5; };
    EXPECT_FLOAT_EQ(read(spec, Dimension::length)(3, 4), 2.5F);
}

TEST_F(SoilMap, RefusedInOneLine) {
    RasterSpec spec;
    spec.unit = "";
    EXPECT_TRUE(holds(refusal(spec), "doesn't say the unit of its conductivity"));
    EXPECT_TRUE(holds(refusal(spec), "gdal_edit.py -units um/s"));
    spec.unit = "kg";
    EXPECT_TRUE(holds(refusal(spec), "unit of the conductivity"));
    spec.unit = "um/s";
    spec.bands = 2;
    EXPECT_TRUE(holds(refusal(spec), "has 2 bands; give the conductivity as a raster of one"));
    spec.bands = 1;
    spec.crs = "";
    EXPECT_TRUE(holds(refusal(spec), "doesn't say its CRS"));
    testing::write_text(path_, "hello");
    const auto reading = [&] {
        read_soil_map(path_, "conductivity", Dimension::speed, kGrid, testing::utm_place(10));
    };
    EXPECT_TRUE(holds(complaint<InputError>(reading), "can't be read as a raster of the conductivity"));
    std::filesystem::remove(path_);
    EXPECT_TRUE(
        holds(complaint<InputError>(reading), "soil.tif: no such file (the map of the conductivity)"));
}

}  // namespace
}  // namespace lielow
