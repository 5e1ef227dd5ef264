// SPDX-License-Identifier: Apache-2.0
#include "io/spots.hpp"

#include <gtest/gtest.h>

#include "sim/errors.hpp"
#include "support/place.hpp"
#include "support/temp_dir.hpp"

namespace lielow {
namespace {

using testing::complaint;
using testing::TempDir;
using testing::write_text;

std::vector<Spot> read(const std::filesystem::path& path) {
    std::vector<std::string> notes;
    return read_spots(path, testing::utm_place(10), notes);
}

TEST(Spots, WrittenInTheSiteFile) {
    const auto spots = spots_in_text(" Gate: 500010.5, 4199990 ; Low end: north: -1, 2;");
    ASSERT_EQ(spots.size(), 2U);
    EXPECT_EQ(spots[0].name, "Gate");
    EXPECT_DOUBLE_EQ(spots[0].x, 500010.5);
    EXPECT_DOUBLE_EQ(spots[0].y, 4199990);
    EXPECT_EQ(spots[1].name, "Low end: north");
    EXPECT_DOUBLE_EQ(spots[1].x, -1);
    for (const char* wrong :
         {"Gate", "Gate: 1", "Gate: 1 2", ": 1, 2", "Gate: 1, 2, 3", "Gate: 1, 2; Pond"}) {
        const std::string text = complaint<InputError>([&] { spots_in_text(wrong); });
        EXPECT_NE(text.find("is no name with a map position"), std::string::npos) << wrong;
    }
    EXPECT_EQ(complaint<InputError>(
                  [] { check_spot_names(spots_in_text("A: 1, 2; B: 3, 4; A: 5, 6"), "farm.toml: "); }),
              "farm.toml: two spots are named \"A\"; give each its own name");
}

TEST(Spots, TableInMapCoordinates) {
    const TempDir dir;
    write_text(dir / "spots.csv", "name,x,y\n\"Gate, lower\",500010.25,4199990.5\nPond,500020,4199980\n");
    const auto spots = read(dir / "spots.csv");
    ASSERT_EQ(spots.size(), 2U);
    EXPECT_EQ(spots[0].name, "Gate, lower");
    EXPECT_DOUBLE_EQ(spots[0].x, 500010.25);
    EXPECT_DOUBLE_EQ(spots[0].y, 4199990.5);
    EXPECT_EQ(spots[1].name, "Pond");
}

TEST(Spots, TableInDegreesAndPointsInAnotherCrs) {
    // UTM zone 16's central meridian is 87 W, where easting is 500 000 m by definition.
    const TempDir dir;
    write_text(dir / "spots.csv", "name,lon,lat\nGate,-87,37.9\n");
    const auto table = read(dir / "spots.csv");
    ASSERT_EQ(table.size(), 1U);
    EXPECT_NEAR(table[0].x, 500000, 1e-3);
    testing::make_vector(dir / "s.gpkg", {.crs = "EPSG:4326",
                                          .layer = "places",
                                          .attribute = "Name",
                                          .type = wkbPoint,
                                          .shapes = {{"Gate", "POINT (-87 37.9)"}}});
    const auto points = read(dir / "s.gpkg");
    ASSERT_EQ(points.size(), 1U);
    EXPECT_EQ(points[0].name, "Gate");
    EXPECT_NEAR(points[0].x, table[0].x, 1e-6);
    EXPECT_NEAR(points[0].y, table[0].y, 1e-6);
}

TEST(Spots, OneLineForWhatIsWrong) {
    const TempDir dir;
    const auto says = [&dir](const std::string& text, const std::string& part) {
        write_text(dir / "spots.csv", text);
        const std::string line = complaint<InputError>([&] { read(dir / "spots.csv"); });
        EXPECT_NE(line.find(part), std::string::npos) << line;
        EXPECT_NE(line.find("spots.csv"), std::string::npos) << line;
    };
    says("name,x,y\nGate,5e5,\n", "\"Gate\" has no position");
    says("name,x,y\nGate,5e5,north\n", "\"Gate\" has no position");
    says("name,east\nGate,5\n", "holds no points");
    says("name,x,y\n", "holds no spots");
    const auto refuses = [&dir](const testing::VectorSpec& spec, const std::string& part) {
        const auto path = testing::make_vector(dir / (spec.layer + ".gpkg"), spec);
        const std::string line = complaint<InputError>([&] { read(path); });
        EXPECT_NE(line.find(part), std::string::npos) << line;
    };
    refuses({.crs = "", .layer = "a", .type = wkbPoint, .shapes = {{"A", "POINT (1 2)"}}},
            "doesn't say its CRS");
    refuses({.layer = "b", .type = wkbPolygon, .shapes = {}}, "holds no points");
    refuses({.layer = "c", .type = wkbMultiPoint, .shapes = {{"A", "MULTIPOINT (1 2,3 4)"}}},
            "has no position");
    const std::string missing = complaint<InputError>([&] { read(dir / "none.csv"); });
    EXPECT_NE(missing.find("none.csv: no such file (the spots)"), std::string::npos) << missing;
}

}  // namespace
}  // namespace lielow
