// SPDX-License-Identifier: Apache-2.0
#include "io/crop_table.hpp"

#include <gtest/gtest.h>

#include "sim/errors.hpp"
#include "support/temp_dir.hpp"

namespace lielow {
namespace {

using testing::complaint;
using testing::holds;
using testing::TempDir;
using testing::write_text;

double fahrenheit(double kelvin) {
    return (kelvin - 273.15) * 1.8 + 32;
}

struct Published {
    const char* crop;
    const char* stage;
    double t10_f;
    double t90_f;
};

// Penn State Extension, Orchard Frost: Critical Temperatures for Various Fruits; apricot and plum Michigan
// State University Extension.
TEST(CropTable, TreeFruitsAsPublished) {
    const CropTable table = read_crop_table();
    for (const Published& p : std::initializer_list<Published>{{"apple", "silver tip", 15, 2},
                                                               {"apple", "tight cluster", 27, 21},
                                                               {"apple", "full bloom", 28, 25},
                                                               {"pear", "full white", 26, 22},
                                                               {"peach", "full bloom", 27, 24},
                                                               {"sweet cherry", "green tip", 25, 14},
                                                               {"apricot", "full bloom", 27, 22},
                                                               {"plum", "full bloom", 28, 23}}) {
        const CropStage& stage = find_crop_stage(table, p.crop, p.stage);
        EXPECT_NEAR(fahrenheit(stage.curve.t10), p.t10_f, 1e-9) << p.crop << p.stage;
        EXPECT_NEAR(fahrenheit(stage.curve.t90), p.t90_f, 1e-9) << p.crop << p.stage;
        EXPECT_FALSE(stage.supposed_width);
    }
}

/// 28 °F is −2.222 °C, not the rounded −2.2 of metric tables.
TEST(CropTable, UnitIsConvertedWithoutRounding) {
    EXPECT_NEAR(find_crop_stage(read_crop_table(), "apple", "full bloom").curve.t10, 273.15 - 20.0 / 9, 1e-9);
}

// Michigan State University Extension 28 °F at full bloom and 32 at petal fall; Penn State Extension 27
// and 28.
TEST(CropTable, BlueberryKeepsThePublishedDisagreement) {
    const CropTable table = read_crop_table();
    const CropStage& bloom = find_crop_stage(table, "Highbush Blueberry", "full bloom");
    EXPECT_TRUE(bloom.supposed_width);
    EXPECT_NEAR(fahrenheit(bloom.curve.t10), 28, 1e-9);
    EXPECT_NEAR(bloom.curve.t10 - bloom.curve.t90, supposed_width_k, 1e-9);
    EXPECT_NEAR(bloom.curve.colder * 1.8, 1, 1e-9);
    EXPECT_NEAR(bloom.curve.warmer * 1.8, 0.5, 1e-9);
    const CropStage& fall = find_crop_stage(table, "highbush blueberry", "petal fall");
    EXPECT_NEAR(fall.curve.colder * 1.8, 4, 1e-9);
    const CropStage& cluster = find_crop_stage(table, "highbush blueberry", "tight cluster");
    EXPECT_NEAR(fahrenheit(cluster.curve.t10), 23, 1e-9);
    EXPECT_NEAR(fahrenheit(cluster.curve.t90), 17, 1e-9);  // 3 °F below the range's colder end
}

TEST(CropTable, MissingT90IsTheNextStages) {
    const CropStage swollen = find_crop_stage(read_crop_table(), "apricot", "swollen buds");
    EXPECT_TRUE(swollen.supposed_width);
    EXPECT_NEAR(fahrenheit(swollen.curve.t90), 0, 1e-9);
}

// Gardea 1987 (from memory): half of Pinot noir's shoots die at −2.2 °C at bud burst.
TEST(CropTable, HalfKilledStandsInTheMiddle) {
    const CropStage burst = find_crop_stage(read_crop_table(), "grape", "bud burst");
    EXPECT_NEAR(killed_share(burst.curve, 273.15 - 2.2), 0.5, 1e-12);
    EXPECT_NEAR(burst.curve.t10 - burst.curve.t90, supposed_width_k, 1e-9);
    EXPECT_TRUE(burst.supposed_width);
    EXPECT_TRUE(burst.from_memory);
    EXPECT_NEAR(burst.curve.colder * 1.8, 1, 1e-9);
}

// Extension's chart has 28 °F, FAO's table −2.9 °C (from memory) at the apple's full bloom.
TEST(CropTable, TreeFruitsKeepTheDisagreementToo) {
    const CropStage bloom = find_crop_stage(read_crop_table(), "apple", "full bloom");
    EXPECT_NEAR(bloom.curve.colder, 2.9 - 20.0 / 9, 1e-9);
    EXPECT_NEAR(bloom.curve.warmer, 0.5 / 1.8, 1e-9);
    EXPECT_FALSE(bloom.from_memory);
}

TEST(CropTable, BasisIsTold) {
    const CropTable table = read_crop_table();
    EXPECT_EQ(find_crop_stage(table, "apple", "full bloom").basis, "kill trials");
    EXPECT_EQ(find_crop_stage(table, "strawberry", "popcorn").basis, "extension practice");
    for (const char* crop : {"highbush blueberry", "apple", "peach", "pear", "sweet cherry", "tart cherry",
                             "plum", "apricot", "raspberry", "blackberry"})
        EXPECT_EQ(find_crop_stage(table, crop, "full bloom").name, "full bloom");
}

TEST(CropTable, EveryRowIsInOrderAndHasASource) {
    for (const Crop& crop : read_crop_table().crops) {
        EXPECT_FALSE(crop.stages.empty()) << crop.name;
        double before = 0;
        for (const CropStage& stage : crop.stages) {
            EXPECT_GT(stage.source.size(), 20U) << crop.name << stage.name;
            EXPECT_LT(stage.curve.t90, stage.curve.t10);
            // Buds grow tenderer on their way; strawberries' green fruit alone is a little hardier than the
            // blossom.
            if (crop.name == "strawberry") continue;
            EXPECT_GE(stage.curve.t10, before) << crop.name << stage.name;
            before = stage.curve.t10;
        }
    }
}

TEST(CropTable, UnknownNamesGetTheNearest) {
    const CropTable table = read_crop_table();
    const auto refusal = [&](const char* crop, const char* stage) {
        return complaint<InputError>([&] { find_crop_stage(table, crop, stage); });
    };
    EXPECT_TRUE(holds(refusal("aple", "full bloom"), "the nearest name in it is \"apple\""));
    EXPECT_TRUE(holds(refusal("bird cherry", "full bloom"), "\"sweet cherry\""));
    EXPECT_TRUE(holds(refusal("blueberry", "full bloom"), "\"highbush blueberry\""));
    EXPECT_TRUE(holds(refusal("kiwifruit", "bud burst"), "crop.table"));
    EXPECT_TRUE(holds(refusal("apple", "ful bloom"), "the nearest one is \"full bloom\" of: silver tip"));
}

class OwnTable : public ::testing::Test {
  protected:
    std::string refusal(const std::string& text) {
        write_text(folder_ / "own.toml", text);
        return complaint<InputError>([&] { read_crop_table(folder_ / "own.toml"); });
    }
    TempDir folder_;
    const std::string crop_ = "[[crop]]\nname = \"quince\"\n[[crop.stage]]\nname = \"full bloom\"\n";
    const std::string source_ = "source = \"an invented source\"\n";
};

TEST_F(OwnTable, AddsAndReplacesCrops) {
    write_text(folder_ / "own.toml", crop_ + "t10 = \"-2 degC\"\nt90 = \"-4 degC\"\n" + source_ +
                                         "[[crop]]\nname = \"Apple\"\n[[crop.stage]]\nname = \"full bloom\"\n"
                                         "critical = \"-1 degC\"\n" +
                                         source_);
    const CropTable table = read_crop_table(folder_ / "own.toml");
    EXPECT_NEAR(find_crop_stage(table, "quince", "full bloom").curve.t90, 269.15, 1e-9);
    EXPECT_NEAR(find_crop_stage(table, "apple", "full bloom").curve.t10, 272.15, 1e-9);
    EXPECT_TRUE(
        holds(complaint<InputError>([&] { find_crop_stage(table, "apple", "silver tip"); }), "full bloom"));
    EXPECT_TRUE(holds(complaint<InputError>([&] { find_crop_stage(table, "quinze", "x"); }), "own.toml"));
}

TEST_F(OwnTable, SaysWhatIsWrongWithIt) {
    EXPECT_TRUE(
        holds(refusal(crop_ + "t10 = 28\nt90 = 25\n" + source_), "own.toml, line 5: t10 has no unit"));
    EXPECT_TRUE(holds(refusal(crop_ + "t10 = \"28 degF\"\nt90 = \"29 degF\"\n" + source_),
                      "must be colder than t10"));
    EXPECT_TRUE(holds(refusal(crop_ + "t90 = \"29 degF\"\n" + source_),
                      "t10 and t90, or t50 alone, or critical alone"));
    EXPECT_TRUE(holds(refusal(crop_ + "critical = \"28 degF\"\n"), "source is missing"));
    EXPECT_TRUE(holds(refusal(crop_ + "critical = \"28 degF\"\nt50 = \"28 degF\"\n" + source_), "t50 alone"));
    EXPECT_TRUE(holds(refusal(crop_ + "t50 = \"28 degF\"\nbasis = \"hearsay\"\n" + source_),
                      "basis must be \"kill trials\" or \"extension practice\""));
    EXPECT_TRUE(holds(refusal(crop_ + "t50 = \"28 degF\"\nfrom_memory = 1\n" + source_), "true or false"));
    EXPECT_TRUE(
        holds(refusal(crop_ + "criticale = \"28 degF\"\n" + source_), "the nearest known one is critical"));
    EXPECT_TRUE(
        holds(refusal(crop_ + "critical = [\"28 degF\", \"27 degF\"]\n" + source_), "colder end first"));
    EXPECT_TRUE(holds(refusal(crop_ + "critical = \"128 degF\"\n" + source_), "from -60 degC to 10 degC"));
    EXPECT_TRUE(holds(refusal("[[crop]]\nname = \"quince\"\n"), "there is no stage; write [[crop.stage]]"));
    EXPECT_TRUE(holds(refusal("crop = 3\n"), "[[crop]]"));
    EXPECT_TRUE(holds(refusal("\n"), "there is no crop"));
    EXPECT_TRUE(holds(refusal("[[crop\n"), "own.toml, line 1"));
    EXPECT_TRUE(holds(complaint<InputError>([&] { read_crop_table(folder_ / "none.toml"); }), "none.toml"));
}

}  // namespace
}  // namespace lielow
