// SPDX-License-Identifier: Apache-2.0
#include "io/crop_needs.hpp"

#include <gtest/gtest.h>

#include <algorithm>

#include "io/crop_table.hpp"
#include "sim/errors.hpp"
#include "sim/soil_facts.hpp"
#include "support/temp_dir.hpp"

namespace lielow {
namespace {

using testing::complaint;
using testing::holds;
using testing::TempDir;
using testing::write_text;

const CropNeed& need(const std::vector<CropNeeds>& all, const char* crop, const char* what) {
    const CropNeed* found = find_crop_need(all, crop, what);
    EXPECT_NE(found, nullptr) << crop << ", " << what;
    static const CropNeed none;
    return found != nullptr ? *found : none;
}

TEST(CropNeeds, EveryRowHasASourceAndEveryCropIsInTheTableOfCold) {
    const CropTable cold = read_crop_table();
    for (const CropNeeds& crop : read_crop_needs()) {
        const bool known = std::any_of(cold.crops.begin(), cold.crops.end(),
                                       [&](const Crop& c) { return c.name == crop.crop; });
        EXPECT_TRUE(known) << crop.crop;
        EXPECT_FALSE(crop.needs.empty()) << crop.crop;
        for (const CropNeed& n : crop.needs) {
            EXPECT_GT(n.source.size(), 20U) << crop.crop << ", " << n.what;
            EXPECT_LE(n.first, n.second) << crop.crop << ", " << n.what;
            const bool nobody = n.source.find("no published source") != std::string::npos;
            EXPECT_EQ(nobody, n.basis == "common practice") << crop.crop << ", " << n.what;
        }
    }
}

TEST(CropNeeds, EveryCropOfTheTableOfColdHasNeeds) {
    const auto needs = read_crop_needs();
    for (const Crop& crop : read_crop_table().crops)
        EXPECT_NE(find_crop_need(needs, crop.name, "root depth"), nullptr) << crop.name;
}

// 20 in and pH 4.5 to 5.0: common practice; 30 in: University of Vermont; 48 h: Clemson University Extension;
// 4 days: Duncan & Kennedy 1989; 0.3 m: FAO-56, table 22 (from memory).
TEST(CropNeeds, AsPublished) {
    const auto all = read_crop_needs();
    EXPECT_NEAR(need(all, "Highbush Blueberry", "soil depth").first, 0.508, 1e-12);
    EXPECT_DOUBLE_EQ(need(all, "highbush blueberry", "pH").first, 4.5);
    EXPECT_DOUBLE_EQ(need(all, "highbush blueberry", "pH").second, 5.0);
    EXPECT_EQ(need(all, "highbush blueberry", "pH").text, "4.5 to 5");
    EXPECT_NEAR(need(all, "apple", "soil depth").first, 0.762, 1e-12);
    EXPECT_DOUBLE_EQ(need(all, "peach", "wet time too long").first, 48 * 3600);
    EXPECT_DOUBLE_EQ(need(all, "raspberry", "wet time too long").first, 4 * 86400);
    EXPECT_DOUBLE_EQ(need(all, "strawberry", "free depth").first, 0.3);
    EXPECT_TRUE(need(all, "strawberry", "free depth").from_memory);
    EXPECT_EQ(need(all, "apple", "drainage").second, static_cast<double>(DrainageClass::somewhat_poor));
}

TEST(CropNeeds, UnknownStaysUnknown) {
    const auto all = read_crop_needs();
    EXPECT_EQ(find_crop_need(all, "highbush blueberry", "wet time borne"), nullptr);
    EXPECT_EQ(find_crop_need(all, "pear", "pH"), nullptr);
    EXPECT_EQ(find_crop_need(all, "quince", "pH"), nullptr);
}

TEST(CropNeeds, NamesOfTheSoilSurvey) {
    EXPECT_EQ(drainage_class_named("Well drained"), static_cast<int>(DrainageClass::well));
    EXPECT_EQ(drainage_class_named("somewhat poorly"), static_cast<int>(DrainageClass::somewhat_poor));
    EXPECT_EQ(drainage_class_named("very poorly"), static_cast<int>(DrainageClass::very_poor));
    EXPECT_FALSE(drainage_class_named("poor"));
    EXPECT_EQ(water_frequency_named("occasional"), static_cast<int>(WaterFrequency::occasional));
    EXPECT_EQ(drainage_class_name(4), "somewhat poorly drained");
    EXPECT_EQ(water_frequency_name(5), "very frequent");
}

class OwnNeeds : public ::testing::Test {
  protected:
    std::string refusal(const std::string& row) {
        write_text(folder_ / "own.toml", crop_ + row);
        return complaint<InputError>([&] { read_crop_needs(folder_ / "own.toml"); });
    }
    TempDir folder_;
    const std::string crop_ = "[[crop]]\nname = \"apple\"\n[[crop.need]]\n";
    const std::string source_ = "source = \"an invented source\"\n";
};

TEST_F(OwnNeeds, RowsTakeThePlaceOfTheProgramsAndAddToThem) {
    write_text(folder_ / "own.toml", crop_ + "what = \"soil depth\"\nvalue = \"40 in\"\n" + source_ +
                                         "[[crop]]\nname = \"quince\"\n[[crop.need]]\nwhat = \"pH\"\nvalue = "
                                         "[6.0, 7.0]\n" +
                                         source_);
    const auto all = read_crop_needs(folder_ / "own.toml");
    EXPECT_NEAR(need(all, "apple", "soil depth").first, 1.016, 1e-12);
    EXPECT_DOUBLE_EQ(need(all, "apple", "pH").second, 7.0);  // as before
    EXPECT_DOUBLE_EQ(need(all, "quince", "pH").first, 6.0);
    // The same file is a table of crops for the frost too; rows of needs don't take the apple's stages away.
    EXPECT_EQ(find_crop_stage(read_crop_table(folder_ / "own.toml"), "apple", "silver tip").name,
              "silver tip");
}

TEST_F(OwnNeeds, SaysWhatIsWrong) {
    EXPECT_TRUE(holds(refusal("what = \"soil depth\"\nvalue = 40\n" + source_),
                      "own.toml, line 5: soil depth has no unit"));
    EXPECT_TRUE(
        holds(refusal("what = \"soil depth\"\nvalue = \"40 h\"\n" + source_), "\"40 h\" is not a length"));
    EXPECT_TRUE(holds(refusal("what = \"wet time borne\"\nvalue = \"2 ft\"\n" + source_), "is not a time"));
    EXPECT_TRUE(holds(refusal("what = \"soil dept\"\nvalue = \"40 in\"\n" + source_),
                      "the nearest known one is \"soil depth\""));
    EXPECT_TRUE(holds(refusal("what = \"pH\"\nvalue = [7.0, 6.0]\n" + source_), "the lower one comes first"));
    EXPECT_TRUE(holds(refusal("what = \"pH\"\nvalue = 6.0\n" + source_), "pH has two figures"));
    EXPECT_TRUE(holds(refusal("what = \"pH\"\nvalue = [6.0, 70]\n" + source_), "from 3 to 10"));
    EXPECT_TRUE(holds(refusal("what = \"pH\"\nvalue = [\"6\", \"7\"]\n" + source_), "without a unit"));
    EXPECT_TRUE(holds(refusal("what = \"drainage\"\nvalue = [\"well\", \"bad\"]\n" + source_),
                      "very poorly drained"));
    EXPECT_TRUE(holds(refusal("what = \"slope\"\nvalue = [0.1, 0.2]\n" + source_), "slope has one figure"));
    EXPECT_TRUE(holds(refusal("what = \"slope\"\n" + source_), "value is missing"));
    EXPECT_TRUE(holds(refusal("what = \"slope\"\nvalue = 0.1\n"), "source is missing"));
    EXPECT_TRUE(
        holds(refusal("what = \"slope\"\nvalue = 0.1\nbasis = \"hearsay\"\n" + source_), "basis must be"));
    EXPECT_TRUE(holds(refusal("what = \"slope\"\nvalu = 0.1\n" + source_), "the nearest known one is value"));
    EXPECT_TRUE(holds(refusal("value = 0.1\n" + source_), "what is missing"));
    EXPECT_TRUE(holds(refusal("what = \"slope\"\nvalue = 0.1\n" + source_ +
                              "[[crop.need]]\nwhat = \"slope\"\nvalue = 0.2\n" + source_),
                      "slope stands there twice for apple"));
    EXPECT_TRUE(holds(complaint<InputError>([&] { read_crop_needs(folder_ / "none.toml"); }), "none.toml"));
}

}  // namespace
}  // namespace lielow
