// SPDX-License-Identifier: Apache-2.0
// Obstacles from vector files, and land cover from rasters and polygons.
#include <gtest/gtest.h>

#include <algorithm>
#include <map>
#include <numeric>

#include "io/land_cover.hpp"
#include "io/obstacles.hpp"
#include "sim/errors.hpp"
#include "support/dem_test.hpp"
#include "support/make_raster.hpp"
#include "support/place.hpp"
#include "support/temp_dir.hpp"

namespace lielow {
namespace {

using testing::TempDir;

/// 20 × 30 cells of 10 m from (500000, 4200000) downward.
const Grid kGrid{20, 30, 10.0, 10.0};

struct Thing {
    std::string wkt;
    std::map<std::string, std::string> texts;
    std::map<std::string, double> numbers;
};

/// Well-known text in metres east and south of the grid's corner, "LINESTRING (0 50, 300 50)", on the map.
std::string on_map(const std::string& wkt, const std::string& crs = "EPSG:32616") {
    OGRGeometry* geometry = nullptr;
    OGRGeometryFactory::createFromWkt(wkt.c_str(), nullptr, &geometry);
    const std::unique_ptr<OGRGeometry> owned(geometry);
    struct Mover final : OGRDefaultGeometryVisitor {
        using OGRDefaultGeometryVisitor::visit;
        void visit(OGRPoint* p) override {
            p->setX(500000 + p->getX());
            p->setY(4200000 - p->getY());
        }
    } mover;
    owned->accept(&mover);
    if (crs != "EPSG:32616") {
        OGRSpatialReference utm = testing::crs_of("EPSG:32616");
        OGRSpatialReference other = testing::crs_of(crs);
        owned->assignSpatialReference(&utm);
        owned->transformTo(&other);
    }
    char* text = nullptr;
    owned->exportToWkt(&text);
    std::string moved = text;
    CPLFree(text);
    return moved;
}

void write_things(const std::filesystem::path& path, const std::vector<Thing>& things,
                  const std::string& layer_name = "obstacles", const std::string& crs_name = "EPSG:32616") {
    GDALAllRegister();
    GDALDriver* driver = GetGDALDriverManager()->GetDriverByName("GPKG");
    const testing::DatasetPtr dataset(std::filesystem::exists(path)
                                          ? GDALDataset::Open(path.c_str(), GDAL_OF_VECTOR | GDAL_OF_UPDATE)
                                          : driver->Create(path.c_str(), 0, 0, 0, GDT_Unknown, nullptr));
    OGRSpatialReference crs = testing::crs_of(crs_name);
    OGRLayer* layer = dataset->CreateLayer(layer_name.c_str(), &crs, wkbUnknown, nullptr);
    const auto attribute = [&](const std::string& name, OGRFieldType type) {
        if (layer->GetLayerDefn()->GetFieldIndex(name.c_str()) >= 0) return;
        OGRFieldDefn definition(name.c_str(), type);
        layer->CreateField(&definition);
    };
    for (const Thing& thing : things) {
        for (const auto& [name, value] : thing.texts) attribute(name, OFTString);
        for (const auto& [name, value] : thing.numbers) attribute(name, OFTReal);
    }
    for (const Thing& thing : things) {
        OGRFeature feature(layer->GetLayerDefn());
        for (const auto& [name, value] : thing.texts) feature.SetField(name.c_str(), value.c_str());
        for (const auto& [name, value] : thing.numbers) feature.SetField(name.c_str(), value);
        OGRGeometry* geometry = nullptr;
        const std::string wkt = on_map(thing.wkt, crs_name);
        OGRGeometryFactory::createFromWkt(wkt.c_str(), nullptr, &geometry);
        feature.SetGeometryDirectly(geometry);
        if (layer->CreateFeature(&feature) != OGRERR_NONE) throw std::runtime_error("no feature");
    }
}

class ObstacleFilesTest : public ::testing::Test {
  protected:
    Obstacles read(const std::vector<Thing>& things, const std::vector<Thing>& belts = {}) {
        ObstacleFiles files;
        const auto write = [&](const char* name, const std::vector<Thing>& content) {
            auto path = dir_ / name;
            std::filesystem::remove(path);
            write_things(path, content);
            return path;
        };
        if (!things.empty()) files.obstacles = write("o.gpkg", things);
        if (!belts.empty()) files.belts = write("b.gpkg", belts);
        return read_obstacles(files, kGrid, testing::utm_place(10), notes_);
    }
    std::string refusal(const Thing& thing) {
        return testing::complaint<InputError>([&] { read({thing}); });
    }
    bool noted(const std::string& part) const {
        return std::any_of(notes_.begin(), notes_.end(),
                           [&](const std::string& note) { return note.find(part) != std::string::npos; });
    }
    TempDir dir_;
    std::vector<std::string> notes_;
};

const std::string line = "LINESTRING (100 20,100 120)";
const std::string box = "POLYGON ((100 20,116 20,116 120,100 120,100 20))";

TEST_F(ObstacleFilesTest, LineWithGapAndCulvert) {
    const Obstacles o = read({
        {line, {{"kind", "Bank"}, {"name", "Lane"}, {"height", "10 ft"}}, {}},
        {"POINT (100 50)", {{"kind", "gap"}, {"width", "4 m"}}, {}},
        {"LINESTRING (200 20,250 120)", {{"kind", "wall"}, {"height", "10 ft"}}, {}},  // touched by none
        {"LINESTRING (90 90,110 90)", {{"kind", "culvert"}, {"width", "2 m"}, {"height", "5 ft"}}, {}},
    });
    ASSERT_EQ(o.standing.size(), 2U);
    EXPECT_TRUE(o.standing[1].lines.at(0).openings.empty());
    const Obstacle& bank = o.standing[0];
    EXPECT_EQ(bank.name, "Lane");
    EXPECT_EQ(bank.kind, ObstacleKind::bank);
    EXPECT_NEAR(bank.height_m, 3.048, 1e-12);
    EXPECT_TRUE(bank.is_solid());
    ASSERT_EQ(bank.lines.size(), 1U);
    EXPECT_NEAR(bank.lines[0].points[1].x, 100, 1e-6);
    EXPECT_NEAR(bank.lines[0].points[1].y, 120, 1e-6);
    const auto& openings = bank.lines[0].openings;
    ASSERT_EQ(openings.size(), 2U);
    EXPECT_NEAR(openings[0].from_m, 28, 1e-6);
    EXPECT_NEAR(openings[0].to_m, 32, 1e-6);
    EXPECT_EQ(openings[0].openness, 1.0);
    EXPECT_NEAR(openings[1].from_m, 69, 1e-6);
    EXPECT_NEAR(openings[1].to_m, 71, 1e-6);
    EXPECT_NEAR(openings[1].openness, 0.5, 1e-12);
    EXPECT_TRUE(notes_.empty());
}

TEST_F(ObstacleFilesTest, AreasAndBeltsAndTheirGaps) {
    const Obstacles o = read({{"POLYGON ((90 40,130 40,130 60,90 60,90 40))", {{"kind", "gap"}}, {}},
                              {"POINT (250 150)", {{"kind", "gap"}, {"width", "4 m"}, {"name", "Lost"}}, {}}},
                             {{box, {{"height", "40 ft"}}, {{"openness", 0.35}}}});
    ASSERT_EQ(o.standing.size(), 1U);
    EXPECT_EQ(o.standing[0].kind, ObstacleKind::tree_belt);
    EXPECT_FALSE(o.standing[0].is_solid());
    const ObstacleArea& area = o.standing[0].areas.at(0);
    EXPECT_NEAR(area.width_m, 2 * 1600.0 / 232, 1e-6);
    const auto covered = [](const CellShares& s) {
        return 100 * std::accumulate(s.share.begin(), s.share.end(), 0.0);
    };
    EXPECT_NEAR(covered(area.where), 1600, 1e-3);
    ASSERT_EQ(area.openings.size(), 1U);
    EXPECT_NEAR(covered(area.openings[0].where), 16 * 20, 1e-3);
    EXPECT_TRUE(noted("o.gpkg: obstacle \"Lost\" touches no obstacle and opens nothing"));
}

TEST_F(ObstacleFilesTest, CulvertThroughTheGround) {
    const std::map<std::string, std::string> culvert{
        {"kind", "culvert"}, {"name", "Pipe"}, {"width", "2 m"}, {"height", "5 ft"}};
    const Obstacles o = read({{"LINESTRING (80 90,120 90)", culvert, {}}, {"POINT (200 90)", culvert, {}}});
    ASSERT_EQ(o.passages.size(), 1U);
    EXPECT_NEAR(o.passages[0].line.at(1).x, 120, 1e-6);
    EXPECT_NEAR(o.passages[0].width_m, 2, 1e-12);
    EXPECT_TRUE(noted("opens nothing; draw it as a line from foot to foot of the DEM's bank"));
}

TEST_F(ObstacleFilesTest, SeveralLayersOtherCrsAndNumbersInMetres) {
    const auto path = dir_ / "o.gpkg";
    write_things(path, {{line, {{"kind", "fence"}}, {{"height_m", 2}, {"openness", 0.5}}}}, "lines",
                 "EPSG:4326");
    write_things(path, {{"POINT (200 100)", {{"kind", "fan"}, {"heat", "60 kW"}}, {{"radius_m", 45}}}},
                 "points");
    write_things(path, {{"POINT (200 100)", {{"note", "no kind: another layer's business"}}, {}}}, "other");
    const Obstacles o = read_obstacles({{}, path}, kGrid, testing::utm_place(10), notes_);
    ASSERT_EQ(o.standing.size(), 1U);
    EXPECT_NEAR(o.standing[0].lines.at(0).points.at(0).x, 100, 1e-3);
    EXPECT_NEAR(o.standing[0].lines.at(0).points.at(0).y, 20, 1e-3);
    ASSERT_EQ(o.fans.size(), 1U);
    EXPECT_NEAR(o.fans[0].heat_w, 60e3, 1e-6);
    EXPECT_NEAR(o.fans[0].at.x, 200, 1e-6);
    EXPECT_TRUE(noted("o.gpkg: brought from WGS 84 into WGS 84 / UTM zone 16N"));
}

TEST_F(ObstacleFilesTest, RotatedGround) {
    GeoReference geo = testing::utm_place(10);
    geo.transform = {500000, 0, -10, 4200000, -10, 0};  // columns run south, rows west
    write_things(dir_ / "o.gpkg",
                 {{"LINESTRING (-50 30,-50 130)", {{"kind", "wall"}, {"height", "2 m"}}, {}}});
    const Obstacles o = read_obstacles({{}, dir_ / "o.gpkg"}, kGrid, geo, notes_);
    EXPECT_NEAR(o.standing.at(0).lines.at(0).points.at(0).x, 30, 1e-6);
    EXPECT_NEAR(o.standing.at(0).lines.at(0).points.at(0).y, 50, 1e-6);
}

TEST_F(ObstacleFilesTest, BadInputIsOneClearLine) {
    const std::map<std::string, std::string> hedge{{"kind", "hedge"}, {"height", "8 ft"}, {"name", "H"}};
    EXPECT_EQ(refusal({line, {{"kind", "hege"}, {"name", "H"}}, {}}),
              "o.gpkg: obstacle \"H\": unknown kind \"hege\"; the nearest known one is \"hedge\"");
    EXPECT_EQ(refusal({line, hedge, {{"openness", 40}}}),
              "o.gpkg: obstacle \"H\": openness is 40, must lie between 0 (solid) and 1 (open); 40 % is 0.4");
    EXPECT_EQ(
        refusal({line, {{"kind", "fence"}, {"height", "8 ft"}, {"name", "H"}, {"openness", "half"}}, {}}),
        "o.gpkg: obstacle \"H\": openness is \"half\", must be a number");
    EXPECT_EQ(refusal({line, hedge, {}}),
              "o.gpkg: obstacle \"H\" has no openness; add an attribute openness from 0 (solid) to 1 (open)");
    EXPECT_EQ(refusal({line, {{"kind", "wall"}, {"name", "H"}}, {}}),
              "o.gpkg: obstacle \"H\" has no height; add an attribute height such as \"40 ft\"");
    EXPECT_EQ(refusal({line, {{"kind", "wall"}, {"name", "H"}, {"height", "900 ft"}}, {}}),
              "o.gpkg: obstacle \"H\": a height of 274.3 m can't be; it must lie above 0 and up to 100");
    EXPECT_EQ(refusal({"POINT (100 50)", {{"kind", "gap"}, {"name", "H"}}, {}}),
              "o.gpkg: obstacle \"H\" has no width; add an attribute width such as \"12 ft\"");
    EXPECT_EQ(refusal({"POINT (100 50)", hedge, {{"openness", 0.4}}}),
              "o.gpkg: obstacle \"H\" is a point; draw a line along it or its outline");
    EXPECT_EQ(refusal({line, {{"kind", "fan"}, {"name", "H"}}, {}}),
              "o.gpkg: obstacle \"H\" is a line; draw a point where it stands");
    EXPECT_EQ(refusal({"POINT (100 50)",
                       {{"kind", "fan"}, {"name", "H"}, {"radius", "150 ft"}, {"heat", "60 ft"}},
                       {}}),
              "o.gpkg: obstacle \"H\": heat: \"60 ft\" is not a power; write it in kW, W, MW or Btu/h");
    EXPECT_EQ(refusal({"LINESTRING (9000 20,9000 120)", hedge, {{"openness", 0.4}}}),
              "o.gpkg: every obstacle lies outside the DEM; check the CRS of both");
    EXPECT_EQ(refusal({line, {{"name", "H"}}, {}}),
              "o.gpkg has no layer with the attribute kind; give the obstacles, each with its kind");
    const Obstacles o = read(
        {{line, hedge, {{"openness", 0.4}}}, {"LINESTRING (9000 20,9000 120)", hedge, {{"openness", 0.4}}}});
    EXPECT_EQ(o.standing.size(), 1U);
    EXPECT_TRUE(noted("obstacle \"H\" lies outside the DEM and is left out"));
}

Ground flat() {
    return {kGrid, Field<float>(20, 30, 100.0F), Field<std::uint8_t>(20, 30, std::uint8_t{1})};
}

class LandCoverTest : public ::testing::Test {
  protected:
    LandCover read(const std::filesystem::path& path) {
        return read_land_cover(path, usual_cover_classes(), flat(), testing::utm_place(10), notes_);
    }
    TempDir dir_;
    std::vector<std::string> notes_;
};

TEST_F(LandCoverTest, CodesOnOtherCells) {
    // Cells of 5 m that reach beyond the DEM; the western half sod, the eastern wood, a nodata corner.
    testing::RasterSpec spec;
    spec.rows = 60, spec.cols = 80;
    spec.transform = std::array<double, 6>{499950, 5, 0, 4200050, 0, -5};
    spec.type = GDT_Byte;
    spec.nodata = 255;
    spec.value = [](int row, int col) { return row < 14 && col < 14 ? 255 : col < 40 ? 2 : 4; };
    const LandCover cover = read(testing::make_raster(dir_ / "c.tif", spec));
    EXPECT_EQ(cover.cells(10, 5), 2);
    EXPECT_EQ(cover.cells(10, 14), 2);
    EXPECT_EQ(cover.cells(10, 15), 4);
    EXPECT_EQ(cover.cells(0, 0), 0);
    EXPECT_EQ(cover.cells(0, 2), 2);
    EXPECT_EQ(notes_.at(0), "c.tif: 0.7 % of the ground has no land cover and counts as ordinary ground");
}

TEST_F(LandCoverTest, PolygonsByName) {
    write_things(dir_ / "c.gpkg",
                 {{"POLYGON ((0 0,300 0,300 200,0 200,0 0))", {{"cover", "sod"}}, {}},
                  {"POLYGON ((100 50,143 50,143 90,100 90,100 50))", {{"cover", "water"}}, {}}});
    const LandCover cover = read(dir_ / "c.gpkg");
    EXPECT_EQ(cover.cells(6, 12), 5);
    EXPECT_EQ(cover.cells(6, 13), 5);
    EXPECT_EQ(cover.cells(6, 14), 2);  // 3 m of 10
    const Field<float> loss = cover_loss(cover);
    EXPECT_EQ(loss(6, 12), 0.0F);
    EXPECT_EQ(loss(6, 2), 1.0F);
    EXPECT_TRUE(notes_.empty());
}

TEST_F(LandCoverTest, BadInputIsOneClearLine) {
    const auto refusal = [&](const std::filesystem::path& path) {
        return testing::complaint<InputError>([&] { read(path); });
    };
    EXPECT_NE(refusal(dir_ / "none.tif").find("none.tif: no such file (the land cover)"), std::string::npos);
    testing::RasterSpec spec;
    spec.rows = 20, spec.cols = 30;
    spec.type = GDT_Byte;
    spec.value = [](int, int) { return 7; };
    EXPECT_EQ(refusal(testing::make_raster(dir_ / "c.tif", spec)),
              "c.tif: no class has the code 7; write code = 7 under [cover.NAME]");
    spec.transform = std::array<double, 6>{600000, 10, 0, 4200000, 0, -10};
    spec.value = [](int, int) { return 2; };
    EXPECT_EQ(refusal(testing::make_raster(dir_ / "far.tif", spec)),
              "far.tif covers nothing of the DEM; check the CRS of both");
    write_things(dir_ / "c.gpkg", {{box, {{"cover", "sodd"}}, {}}});
    EXPECT_EQ(refusal(dir_ / "c.gpkg"),
              "c.gpkg: \"sodd\" is no class of land cover; the nearest known one is \"sod\", or write its "
              "figures under "
              "[cover.NAME]");
    write_things(dir_ / "d.gpkg", {{box, {{"use", "sod"}}, {}}});
    EXPECT_EQ(refusal(dir_ / "d.gpkg"), "d.gpkg has no attribute cover; add one with each polygon's class");
}

}  // namespace
}  // namespace lielow
