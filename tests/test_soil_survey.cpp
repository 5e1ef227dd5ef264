// SPDX-License-Identifier: Apache-2.0
#include "io/soil_survey.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <map>

#include "sim/errors.hpp"
#include "support/make_raster.hpp"
#include "support/place.hpp"
#include "support/temp_dir.hpp"

namespace lielow {
namespace {

using testing::complaint;
using testing::holds;

/// A rectangle in metres east of 500000 and south of 4200000, and what is said of it.
struct Drawn {
    double west, east, north, south;
    std::map<std::string, std::string> texts;
    std::map<std::string, double> numbers;
};

/// 10 × 20 cells of 10 m.
class Survey : public ::testing::Test {
  protected:
    Survey() : ground_{{10, 20, 10.0, 10.0}, Field<float>(10, 20, 100.0F), Field<std::uint8_t>(10, 20, 1)} {}

    void draw(const std::vector<Drawn>& drawn, const char* crs_text = "EPSG:32616") const {
        GDALAllRegister();
        std::filesystem::remove(path_);
        const testing::DatasetPtr dataset(GetGDALDriverManager()->GetDriverByName("GeoJSON")->Create(
            path_.c_str(), 0, 0, 0, GDT_Unknown, nullptr));
        OGRSpatialReference crs = testing::crs_of(crs_text);
        OGRLayer* layer = dataset->CreateLayer("soils", &crs, wkbPolygon, nullptr);
        std::map<std::string, OGRFieldType> fields;
        for (const Drawn& one : drawn) {
            for (const auto& [name, value] : one.texts) fields[name] = OFTString;
            for (const auto& [name, value] : one.numbers) fields[name] = OFTReal;
        }
        for (const auto& [name, type] : fields) {
            OGRFieldDefn field(name.c_str(), type);
            layer->CreateField(&field);
        }
        OGRSpatialReference ground = testing::crs_of("EPSG:32616");
        const std::unique_ptr<OGRCoordinateTransformation> way(
            OGRCreateCoordinateTransformation(&ground, &crs));
        for (const Drawn& one : drawn) add(*layer, one, *way);
    }
    static void add(OGRLayer& layer, const Drawn& one, OGRCoordinateTransformation& way) {
        OGRFeature feature(layer.GetLayerDefn());
        for (const auto& [name, value] : one.texts) feature.SetField(name.c_str(), value.c_str());
        for (const auto& [name, value] : one.numbers) feature.SetField(name.c_str(), value);
        OGRLinearRing ring;
        for (const auto& [x, y] : {std::pair{one.west, one.north},
                                   {one.east, one.north},
                                   {one.east, one.south},
                                   {one.west, one.south},
                                   {one.west, one.north}})
            ring.addPoint(500000 + x, 4200000 - y);
        OGRPolygon polygon;
        polygon.addRing(&ring);
        polygon.transform(&way);
        feature.SetGeometry(&polygon);
        ASSERT_EQ(layer.CreateFeature(&feature), OGRERR_NONE);
    }
    SoilSurvey read() {
        notes_.clear();
        request_.survey = path_;
        return read_soil_survey(request_, ground_, testing::utm_place(10), notes_);
    }
    std::string refusal(const Drawn& drawn) {
        draw({drawn});
        return complaint<InputError>([&] { read(); });
    }
    std::string all_notes() const {
        std::string text;
        for (const std::string& note : notes_) text += note + "\n";
        return text;
    }

    Ground ground_;
    testing::TempDir folder_;
    std::filesystem::path path_ = folder_ / "soils.geojson";
    SurveyRequest request_;
    std::vector<std::string> notes_;
};

// Names and units of the US open data: depths in cm, ksat_r in µm/s, aws0100wta in cm.
TEST_F(Survey, UsOpenDataAsTheyCome) {
    draw({{0,
           100,
           0,
           100,
           {{"drclassdcd", "Somewhat poorly drained"},
            {"flodfreqdcd", "Rare"},
            {"pondfreqcl", "Frequent"},
            {"hydgrpdcd", "C/D"}},
           {{"wtdepannmin", 15},
            {"wtdepaprjunmin", 31},
            {"brockdepmin", 140},
            {"resdept_r", 90},
            {"aws0100wta", 17.5},
            {"ksat_r", 9},
            {"ph1to1h2o_r", 5.8}}},
          {100, 200, 0, 100, {{"drclassdcd", "Well drained"}}, {{"ksat_r", 28}}}});
    const SoilSurvey survey = read();
    const SoilFacts& f = survey.facts;
    EXPECT_EQ(survey.outlines, 2U);
    EXPECT_EQ(static_cast<DrainageClass>(f.drainage_class(5, 3)), DrainageClass::somewhat_poor);
    EXPECT_EQ(static_cast<DrainageClass>(f.drainage_class(5, 12)), DrainageClass::well);
    EXPECT_FLOAT_EQ(f.table_depth_year_m(5, 3), 0.15F);
    EXPECT_FLOAT_EQ(f.table_depth_spring_m(5, 3), 0.31F);
    EXPECT_FLOAT_EQ(f.floor_depth_m(5, 3), 0.90F) << "the shallower of rock and restriction";
    EXPECT_EQ(static_cast<WaterFrequency>(f.flooding(5, 3)), WaterFrequency::rare);
    EXPECT_EQ(static_cast<WaterFrequency>(f.ponding(5, 3)), WaterFrequency::frequent);
    EXPECT_EQ(static_cast<HydrologicGroup>(f.hydrologic_group(5, 3)), HydrologicGroup::c_d);
    EXPECT_FLOAT_EQ(f.available_water_m(5, 3), 0.175F);
    EXPECT_FLOAT_EQ(f.conductivity_m_s(5, 3), 9e-6F);
    EXPECT_FLOAT_EQ(f.ph(5, 3), 5.8F);
    // Null is unknown, never zero.
    EXPECT_TRUE(std::isnan(f.table_depth_year_m(5, 12)));
    EXPECT_EQ(static_cast<WaterFrequency>(f.flooding(5, 12)), WaterFrequency::unknown);
    EXPECT_TRUE(f.hard_share.empty());
}

TEST_F(Survey, RockAtTheSurfaceIsNoted) {
    draw({{0, 100, 0, 100, {}, {{"resdept_r", 0}}}, {100, 200, 0, 100, {}, {{"resdept_r", 60}}}});
    EXPECT_FLOAT_EQ(read().facts.floor_depth_m(5, 3), 0.0F);
    EXPECT_TRUE(holds(all_notes(), "2.47 acres a depth of 0 to what stops roots")) << all_notes();
    draw({{0, 100, 0, 100, {}, {{"resdept_r", 60}}}});
    read();
    EXPECT_FALSE(holds(all_notes(), "a depth of 0")) << all_notes();
}

TEST_F(Survey, MillimetresOfTheOtherTable) {
    draw({{0, 200, 0, 100, {}, {{"aws0_100", 175}}}});
    EXPECT_FLOAT_EQ(read().facts.available_water_m(0, 0), 0.175F);
    EXPECT_TRUE(holds(refusal({0, 200, 0, 100, {}, {{"aws0100wta", 175}}}), "aws0_100 in mm"));
}

TEST_F(Survey, NamesCutByShapefiles) {
    draw({{0, 200, 0, 100, {{"DRCLASSDCD", "Poorly drained"}}, {{"WTDEPAPRJU", 40}, {"PH1TO1H2O_", 6.5}}}});
    const SoilFacts facts = read().facts;
    EXPECT_FLOAT_EQ(facts.table_depth_spring_m(0, 0), 0.4F);
    EXPECT_FLOAT_EQ(facts.ph(0, 0), 6.5F);
}

TEST_F(Survey, SharePondedIsNoFrequency) {
    draw({{0, 100, 0, 100, {{"pondfreqprs", "0"}, {"hydgrpdcd", "B"}}, {}},
          {100, 200, 0, 100, {{"pondfreqprs", "75"}, {"hydgrpdcd", "D"}}, {}}});
    const SoilFacts facts = read().facts;
    EXPECT_EQ(static_cast<WaterFrequency>(facts.ponding(0, 0)), WaterFrequency::none);
    EXPECT_EQ(static_cast<WaterFrequency>(facts.ponding(0, 15)), WaterFrequency::unknown);
    EXPECT_TRUE(holds(all_notes(), "not how often"));
}

TEST_F(Survey, ColumnsAndWordsOfOnesOwn) {
    request_.reading.columns = {{"drainage_class", "DRAIN", ""}, {"available_water", "paw", "mm"}};
    request_.reading.words = {{"2b", "moderately well drained"}};
    draw({{0, 200, 0, 100, {{"DRAIN", "2B"}}, {{"paw", 120}}}});
    const SoilFacts facts = read().facts;
    EXPECT_EQ(static_cast<DrainageClass>(facts.drainage_class(0, 0)), DrainageClass::moderately_well);
    EXPECT_FLOAT_EQ(facts.available_water_m(0, 0), 0.12F);
    request_.reading.columns.front().column = "DRAINX";
    EXPECT_TRUE(holds(complaint<InputError>([&] { read(); }),
                      "no column \"DRAINX\" (soil.columns.drainage_class); the "
                      "nearest it has is \"DRAIN\""));
}

TEST_F(Survey, TextureStandsIn) {
    draw({{0, 200, 0, 100, {{"texcl", "Silt loam"}}, {}}});
    const SoilFacts facts = read().facts;
    EXPECT_NEAR(facts.available_water_m(0, 0), 1.9 / 12, 1e-6);
    EXPECT_NEAR(facts.conductivity_m_s(0, 0), 7.2e-6, 1e-8);
}

TEST_F(Survey, BordersLieWhereTheLargerShareLies) {
    draw({{0, 97, 0, 100, {}, {{"ph1to1h2o_r", 5}}}, {97, 200, 0, 100, {}, {{"ph1to1h2o_r", 6}}}});
    const SoilFacts facts = read().facts;
    for (int col = 0; col < 20; ++col) EXPECT_FLOAT_EQ(facts.ph(4, col), col < 10 ? 5.0F : 6.0F) << col;
}

TEST_F(Survey, OtherCrsIsBroughtOver) {
    draw({{0, 100, 0, 100, {}, {{"ph1to1h2o_r", 5}}}, {100, 200, 0, 100, {}, {{"ph1to1h2o_r", 6}}}},
         "EPSG:4326");
    const SoilFacts facts = read().facts;
    EXPECT_FLOAT_EQ(facts.ph(5, 3), 5.0F);
    EXPECT_FLOAT_EQ(facts.ph(5, 16), 6.0F);
    EXPECT_TRUE(holds(all_notes(), "brought from WGS 84"));
}

TEST_F(Survey, OverlapThatDisagreesIsTold) {
    draw({{0, 120, 0, 100, {}, {{"ph1to1h2o_r", 5}}}, {80, 200, 0, 100, {}, {{"ph1to1h2o_r", 6}}}});
    EXPECT_FLOAT_EQ(read().facts.ph(5, 9), 5.0F) << "of equals the first";
    EXPECT_TRUE(holds(all_notes(), "overlap and say different things on 0.99 acres"));
}

TEST_F(Survey, AttributesInATableOfTheirOwn) {
    testing::write_text(folder_ / "units.csv",
                        "mukey,drclassdcd,ksat_r\n77,Well drained,9\n78,Poorly drained,\n");
    request_.table = folder_ / "units.csv";
    draw({{0, 100, 0, 100, {{"mukey", "77"}}, {}},
          {100, 200, 0, 50, {{"mukey", "78"}}, {}},
          {100, 200, 50, 100, {{"mukey", "79"}}, {}}});
    const SoilFacts facts = read().facts;
    EXPECT_EQ(static_cast<DrainageClass>(facts.drainage_class(2, 15)), DrainageClass::poor);
    EXPECT_TRUE(std::isnan(facts.conductivity_m_s(2, 15)));
    EXPECT_EQ(static_cast<DrainageClass>(facts.drainage_class(8, 15)), DrainageClass::unknown);
    EXPECT_TRUE(holds(all_notes(), "1 outlines have a mukey that the table lacks"));
    request_.key = "musym";
    EXPECT_TRUE(holds(complaint<InputError>([&] { read(); }), "no column musym (soil.survey_key)"));
}

TEST_F(Survey, RasterOfUnits) {
    testing::RasterSpec spec;
    spec.rows = 5;
    spec.cols = 10;
    spec.type = GDT_Int32;
    spec.transform = std::array<double, 6>{500000, 20, 0, 4200000, 0, -20};
    spec.value = [](int, int col) { return col < 4 ? 77.0 : 78.0; };
    path_ = folder_ / "units.tif";
    testing::make_raster(path_, spec);
    EXPECT_TRUE(holds(complaint<InputError>([&] { read(); }), "soil.survey_table"));
    testing::write_text(folder_ / "units.csv", "mukey,drclassdcd\n77,Well drained\n78,Poorly drained\n");
    request_.table = folder_ / "units.csv";
    const SoilFacts facts = read().facts;
    EXPECT_EQ(static_cast<DrainageClass>(facts.drainage_class(9, 7)), DrainageClass::well);
    EXPECT_EQ(static_cast<DrainageClass>(facts.drainage_class(9, 8)), DrainageClass::poor);
}

TEST_F(Survey, MapsWin) {
    draw({{0, 200, 0, 100, {}, {{"ph1to1h2o_r", 5}}}});
    testing::RasterSpec spec;
    spec.unit = "";
    spec.value = [](int, int) { return 6.5; };  // on 6 × 8 cells in the corner
    testing::make_raster(folder_ / "ph.tif", spec);
    request_.maps = {{"ph", folder_ / "ph.tif"}};
    const SoilFacts facts = read().facts;
    EXPECT_FLOAT_EQ(facts.ph(2, 2), 6.5F);
    EXPECT_FLOAT_EQ(facts.ph(8, 8), 5.0F);
    spec.value = [](int, int) { return 65.0; };
    testing::make_raster(folder_ / "ph.tif", spec);
    EXPECT_TRUE(holds(complaint<InputError>([&] { read(); }), "is it pH times ten?"));
    request_.maps = {{"drainage_class", folder_ / "ph.tif"}};
    EXPECT_TRUE(holds(complaint<InputError>([&] { read(); }), "is a word and no number"));
}

TEST_F(Survey, WhatCannotBe) {
    EXPECT_TRUE(
        holds(refusal({0, 200, 0, 100, {{"drclassdcd", "Moderatly well drained"}}, {}}),
              "outline 1: drclassdcd: \"Moderatly well drained\" is no drainage class; the nearest known one "
              "is \"moderately well drained\""));
    EXPECT_TRUE(holds(refusal({0, 200, 0, 100, {{"hydgrpdcd", "E"}}, {}}), "is no hydrologic group"));
    EXPECT_TRUE(holds(refusal({0, 200, 0, 100, {}, {{"ph1to1h2o_r", 45}}}), "is it pH times ten?"));
    EXPECT_TRUE(holds(refusal({0, 200, 0, 100, {}, {{"wtdepannmin", -5}}}), "depths count downward"));
    EXPECT_TRUE(
        holds(refusal({0, 200, 0, 100, {}, {{"anything", 5}}}), "no column that says something of soil"));
    EXPECT_TRUE(holds(refusal({5000, 5200, 0, 100, {}, {{"ph1to1h2o_r", 5}}}), "covers nothing of the DEM"));
    std::filesystem::remove(path_);
    EXPECT_TRUE(holds(complaint<InputError>([&] { read(); }), "no such file (the soil survey)"));
}

TEST_F(Survey, NoCrs) {
    const auto shape = folder_ / "soils.shp";
    draw({{0, 200, 0, 100, {}, {{"ph", 5}}}});
    {
        const testing::DatasetPtr made(GetGDALDriverManager()
                                           ->GetDriverByName("ESRI Shapefile")
                                           ->Create(shape.c_str(), 0, 0, 0, GDT_Unknown, nullptr));
        OGRLayer* layer = made->CreateLayer("soils", nullptr, wkbPolygon, nullptr);
        OGRFieldDefn field("drclassdcd", OFTString);
        layer->CreateField(&field);
    }
    path_ = shape;
    EXPECT_TRUE(holds(complaint<InputError>([&] { read(); }), "doesn't say its CRS"));
}

}  // namespace
}  // namespace lielow
