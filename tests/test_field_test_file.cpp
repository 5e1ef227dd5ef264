// SPDX-License-Identifier: Apache-2.0
#include "io/field_test_file.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "sim/errors.hpp"
#include "support/place.hpp"
#include "support/temp_dir.hpp"

namespace lielow {
namespace {

using testing::complaint;
using testing::holds;

constexpr double inch = 0.0254;

class FieldTestFile : public ::testing::Test {
  protected:
    FieldTestFile() {
        FarmField field;
        field.name = "North piece";
        field.cells = {3, 4};
        field.share = {1, 1};
        fields_.push_back(field);
    }
    std::vector<FieldTest> read(const std::string& text, std::optional<TestKind> kind = std::nullopt) {
        testing::write_text(path_, text);
        notes_.clear();
        return read_field_tests(path_, kind, grid_, testing::utm_place(10), fields_, notes_);
    }
    std::string refusal(const std::string& text, std::optional<TestKind> kind = std::nullopt) {
        return complaint<InputError>([&] { read(text, kind); });
    }
    const Grid grid_{10, 20, 10.0, 10.0};
    testing::TempDir folder_;
    std::filesystem::path path_ = folder_ / "tests.csv";
    std::vector<FarmField> fields_;
    std::vector<std::string> notes_;
};

const char* const kHole = "name,x,y,hole_radius [in],fill_depth [in],time [min],drop [in],presoak\n";

TEST_F(FieldTestFile, RowsOfOneNameAreOneHole) {
    const auto tests = read(std::string(kHole) +
                                "A,500035,4199955,3,12,30,1,yes\nA,500035,4199955,3,12,60,1.8,yes\n"
                                "B,500100,4199955,3,12,30,1,no\n",
                            TestKind::percolation);
    ASSERT_EQ(tests.size(), 2U);
    EXPECT_TRUE(tests[0].presoaked);
    EXPECT_FALSE(tests[1].presoaked);
    ASSERT_EQ(tests[0].water.size(), 3U) << "the filling and two readings";
    EXPECT_NEAR(tests[0].water[2].water_m, 10.2 * inch, 1e-12);
    EXPECT_DOUBLE_EQ(tests[0].water[2].time_s, 3600);
    EXPECT_NEAR((*tests[0].at_m)[0], 35, 1e-6);
    EXPECT_NEAR((*tests[0].at_m)[1], 45, 1e-6) << "down the rows";
}

TEST_F(FieldTestFile, KindsInOneTableAndFields) {
    const auto tests = read(
        "name,kind,field,ph,pressure [kPa]\nS,ph,North piece,5.2,\nS,ph,North piece,5.4,\n"
        "C,penetrometer,North piece,,2000\n");
    ASSERT_EQ(tests.size(), 2U);
    EXPECT_EQ(tests[0].ph.size(), 2U);
    EXPECT_EQ(tests[0].cells, (std::vector<std::uint32_t>{3, 4}));
    EXPECT_DOUBLE_EQ(tests[1].pressures_pa.at(0), 2e6);
}

TEST_F(FieldTestFile, EmptyRowsOfASpreadsheet) {
    const auto tests =
        read("name,kind,field,ph\n,,,\nS,ph,North piece,5.2\n , ,,\nS,ph,North piece,5.4\n,,,\n");
    ASSERT_EQ(tests.size(), 1U);
    EXPECT_EQ(tests[0].ph.size(), 2U);
    EXPECT_TRUE(holds(refusal("name,kind,field,ph\n,,,\nS,ph,North piece,\n"), "row 3: ph is empty"));
    EXPECT_TRUE(holds(refusal("name,kind,field,ph\n,,,\n,ph,North piece,5\n"), "row 3: name is empty"));
    EXPECT_TRUE(holds(refusal("name,kind,field,ph\n,,,\n"), "holds no test"));
}

TEST_F(FieldTestFile, PitWithLayersAndWater) {
    const auto tests = read(
        "name,x,y,top [in],bottom [in],color,mottles,texture,roots,restriction,days_after_rain,water "
        "[in],date\n"
        "P,500035,4199955,0,10,10YR 3/2,none,Silt loam,yes,,,,\n"
        "P,500035,4199955,10,30,10YR 5/4,10YR 6/2,clay,no,yes,,,\n"
        "P,500035,4199955,,,,,,,,1,14,2026-04-20\nP,500035,4199955,,,,,,,,3,,2026-07-01\n",
        TestKind::pit);
    const FieldTest& pit = tests.at(0);
    ASSERT_EQ(pit.layers.size(), 2U);
    EXPECT_FALSE(pit.layers[0].gray) << "dark topsoil is no gray";
    EXPECT_TRUE(pit.layers[0].roots);
    EXPECT_TRUE(pit.layers[1].gray);
    EXPECT_TRUE(pit.layers[1].restriction);
    EXPECT_EQ(pit.layers[0].soil.texture, "silt loam");
    ASSERT_EQ(pit.pit_water.size(), 2U);
    EXPECT_TRUE(pit.pit_water[0].spring);
    EXPECT_NEAR(pit.pit_water[0].depth_m, 14 * inch, 1e-12);
    EXPECT_FALSE(pit.pit_water[1].spring);
    EXPECT_TRUE(std::isnan(pit.pit_water[1].depth_m));
}

// Gray by Munsell: value 4 or more and chroma 2 or less (Field Indicators of Hydric Soils: depleted matrix).
TEST_F(FieldTestFile, Gray) {
    for (const char* gray : {"10YR 6/2", "2.5Y 4/1", "N 5/", "gray", "Grey"})
        EXPECT_TRUE(is_gray(gray)) << gray;
    for (const char* other : {"10YR 3/1", "7.5YR 5/8", "10YR 5/3", "none", "", "brown"})
        EXPECT_FALSE(is_gray(other)) << other;
    EXPECT_THROW(is_gray("mauve"), InputError);
}

TEST_F(FieldTestFile, DegreesAreBroughtOver) {
    const auto tests = read("name,lon,lat,ph\nA,-86.9990,37.9475,5\n", TestKind::ph);
    EXPECT_TRUE(tests.empty() || tests[0].at_m.has_value());
    EXPECT_GT((*tests.at(0).at_m)[0], 80) << "0.001 degrees east of the zone's middle are 88 m";
    EXPECT_LT((*tests.at(0).at_m)[0], 95);
}

TEST_F(FieldTestFile, OutsideIsTold) {
    const auto tests = read("name,x,y,ph\nA,500035,4199955,5\nFar,510000,4199955,5\n", TestKind::ph);
    EXPECT_EQ(tests.size(), 1U);
    EXPECT_TRUE(holds(notes_.at(0), "\"Far\" lies outside the DEM and is left out"));
    EXPECT_TRUE(
        holds(refusal("name,x,y,ph\nFar,510000,4199955,5\n", TestKind::ph), "every test lies outside"));
}

TEST_F(FieldTestFile, WhatCannotBe) {
    const std::string hole = kHole;
    EXPECT_TRUE(holds(refusal(hole + "A,500035,4199955,3,12,30,2,yes\nA,500035,4199955,3,12,60,1,yes\n",
                              TestKind::percolation),
                      "row 3: the water of \"A\" rises"));
    EXPECT_TRUE(holds(refusal(hole + "A,500035,4199955,3,12,30,13,yes\n", TestKind::percolation),
                      "more than the hole"));
    EXPECT_TRUE(
        holds(refusal(hole + "A,500035,4199955,3,-12,30,1,yes\n", TestKind::percolation), "is below 0"));
    EXPECT_TRUE(holds(refusal("name,x,y,ph\nA,500035,4199955,45\n", TestKind::ph), "pH 45 can't be"));
    EXPECT_TRUE(holds(refusal("name,x,y,pH value\nA,500035,4199955,5\n", TestKind::ph), "no column ph"));
    EXPECT_TRUE(holds(refusal("name,x,y,pressure [psi]\nA,500035,4199955,2100\n", TestKind::penetrometer),
                      "did you mean kPa?"));
    EXPECT_TRUE(holds(refusal("name,x,y,pressure\nA,500035,4199955,210\n", TestKind::penetrometer),
                      "doesn't say its unit"));
    EXPECT_TRUE(
        holds(refusal("name,x,y,pressure [ft]\nA,500035,4199955,210\n", TestKind::penetrometer), "[ft]"));
    EXPECT_TRUE(holds(refusal("name,kind,x,y,ph\nA,PHH,500035,4199955,5\n"), "the nearest known one is ph"));
    EXPECT_TRUE(holds(refusal("name,field,ph\nA,North peace,5\n", TestKind::ph),
                      "there is no field \"North peace\"; the nearest known one is \"North piece\""));
    EXPECT_TRUE(holds(refusal("name,ph\nA,5\n", TestKind::ph), "doesn't say where its tests stand"));
    EXPECT_TRUE(holds(refusal("name,x,y,ph\nA,500035,4199955,5\nA,500045,4199955,5\n", TestKind::ph),
                      "stands elsewhere"));
    EXPECT_TRUE(holds(
        refusal("name,x,y,top [in],bottom [in],texture\nA,500035,4199955,0,10,silt lome\n", TestKind::pit),
        "\"silt lome\" is no texture; the nearest known one is \"silt loam\""));
}

}  // namespace
}  // namespace lielow
