// SPDX-License-Identifier: Apache-2.0
#include "io/drain_lines.hpp"

#include <gtest/gtest.h>

#include <map>

#include "sim/errors.hpp"
#include "support/make_raster.hpp"
#include "support/place.hpp"
#include "support/temp_dir.hpp"

namespace lielow {
namespace {

using testing::complaint;
using testing::holds;

/// 20 × 30 cells of 10 m from (500000, 4200000) downward.
const Grid kGrid{20, 30, 10.0, 10.0};
const char* const kLine = "LINESTRING (500005 4199950, 500295 4199950)";  // 50 m down the rows

struct Drawn {
    std::string wkt = kLine;
    std::map<std::string, std::string> texts;
    std::map<std::string, double> numbers;
};

class DrainLines : public ::testing::Test {
  protected:
    std::vector<DrainLine> read(const std::vector<Drawn>& drawn) {
        std::filesystem::remove(path_);
        write(drawn);
        notes_.clear();
        return read_drain_lines(path_, kGrid, testing::utm_place(10), notes_);
    }
    std::string refusal(const Drawn& drawn) {
        return complaint<InputError>([&] { read({drawn}); });
    }
    void write(const std::vector<Drawn>& drawn) const {
        GDALAllRegister();
        const testing::DatasetPtr dataset(GetGDALDriverManager()->GetDriverByName("GPKG")->Create(
            path_.c_str(), 0, 0, 0, GDT_Unknown, nullptr));
        OGRSpatialReference crs = testing::crs_of("EPSG:32616");
        OGRLayer* layer = dataset->CreateLayer("drains", &crs, wkbUnknown, nullptr);
        for (const char* name : {"name", "kind", "depth", "diameter", "spacing"}) {
            OGRFieldDefn text(name, OFTString);
            layer->CreateField(&text);
        }
        OGRFieldDefn number("depth_m", OFTReal);
        layer->CreateField(&number);
        for (const Drawn& one : drawn) {
            OGRFeature feature(layer->GetLayerDefn());
            for (const auto& [name, value] : one.texts) feature.SetField(name.c_str(), value.c_str());
            for (const auto& [name, value] : one.numbers) feature.SetField(name.c_str(), value);
            OGRGeometry* geometry = nullptr;
            OGRGeometryFactory::createFromWkt(one.wkt.c_str(), nullptr, &geometry);
            feature.SetGeometryDirectly(geometry);
            ASSERT_EQ(layer->CreateFeature(&feature), OGRERR_NONE);
        }
    }
    testing::TempDir folder_;
    std::filesystem::path path_ = folder_ / "d.gpkg";
    std::vector<std::string> notes_;
};

TEST_F(DrainLines, PipesAndDitchesWithTheirUnits) {
    const auto lines =
        read({{kLine, {{"name", "main"}, {"depth", "3 ft"}, {"diameter", "6 in"}, {"spacing", "50 ft"}}, {}},
              {kLine, {{"kind", "ditch"}}, {{"depth_m", 0.8}}}});
    ASSERT_EQ(lines.size(), 2U);
    EXPECT_EQ(lines[0].name, "main");
    EXPECT_FALSE(lines[0].ditch);
    EXPECT_NEAR(lines[0].depth_m, 0.9144, 1e-12);
    EXPECT_NEAR(lines[0].radius_m, 0.0762, 1e-12);
    EXPECT_NEAR(lines[0].spacing_m, 15.24, 1e-12);
    EXPECT_EQ(lines[1].name, "drain 2");
    EXPECT_TRUE(lines[1].ditch);
    EXPECT_DOUBLE_EQ(lines[1].depth_m, 0.8);
    EXPECT_NEAR(lines[1].radius_m, 2 * 0.0254, 1e-12) << "a pipe of 4 in unless told otherwise";
    EXPECT_DOUBLE_EQ(lines[1].spacing_m, 0);
    EXPECT_TRUE(notes_.empty());
}

TEST_F(DrainLines, PlacesComeAsMetresAlongAndDownTheRows) {
    const auto lines =
        read({{kLine, {{"depth", "1 m"}}, {}},
              {"MULTILINESTRING ((500000 4200000, 500000 4199900), (500100 4200000, 500100 4199900))",
               {{"depth", "1 m"}},
               {}}});
    ASSERT_EQ(lines.size(), 2U);
    ASSERT_EQ(lines[0].lines.size(), 1U);
    EXPECT_NEAR(lines[0].lines[0].front().x, 5, 1e-6);
    EXPECT_NEAR(lines[0].lines[0].back().x, 295, 1e-6);
    EXPECT_NEAR(lines[0].lines[0].back().y, 50, 1e-6);
    EXPECT_EQ(lines[1].lines.size(), 2U);
}

TEST_F(DrainLines, WhatLiesOutsideIsLeftOutWithANote) {
    const auto lines =
        read({{"LINESTRING (600000 4199950, 600100 4199950)", {{"name", "far"}, {"depth", "1 m"}}, {}},
              {kLine, {{"depth", "1 m"}}, {}}});
    ASSERT_EQ(lines.size(), 1U);
    ASSERT_EQ(notes_.size(), 1U);
    EXPECT_TRUE(holds(notes_[0], "d.gpkg: drain \"far\" lies outside the DEM and is left out"));
}

TEST_F(DrainLines, RefusedInOneLine) {
    EXPECT_TRUE(holds(refusal({kLine, {{"name", "A"}}, {}}), "d.gpkg: drain \"A\" has no depth"));
    EXPECT_TRUE(holds(refusal({kLine, {{"depth", "3"}}, {}}), "no unit"));
    EXPECT_TRUE(holds(refusal({kLine, {{"depth", "-1 ft"}}, {}}), "can't be"));
    EXPECT_TRUE(holds(refusal({kLine, {{"depth", "30 m"}}, {}}), "up to 6 m"));
    EXPECT_TRUE(holds(refusal({kLine, {{"depth", "1 m"}, {"kind", "moat"}}, {}}), "unknown kind \"moat\""));
    EXPECT_TRUE(holds(refusal({kLine, {{"depth", "1 m"}, {"diameter", "4 ft2"}}, {}}), "diameter"));
    EXPECT_TRUE(holds(refusal({"POINT (500100 4199950)", {{"depth", "1 m"}}, {}}), "holds no lines"));
    std::filesystem::remove(path_);
    EXPECT_TRUE(
        holds(complaint<InputError>([&] { read_drain_lines(path_, kGrid, testing::utm_place(10), notes_); }),
              "d.gpkg: no such file"));
}

}  // namespace
}  // namespace lielow
