// SPDX-License-Identifier: Apache-2.0
// What the runs of an ensemble agree on, counted by hand.
#include "sim/agreement.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <initializer_list>

namespace lielow {
namespace {

using enum SitingClass;

Field<std::uint8_t> classes(std::initializer_list<int> values) {
    Field<std::uint8_t> field(1, static_cast<std::int32_t>(values.size()));
    std::size_t cell = 0;
    for (const int v : values) field[cell++] = static_cast<std::uint8_t>(v);
    return field;
}

/// Five runs over: always plant; four of five not here; three of five; always unknown; no ground.
ClassCounts five_runs() {
    ClassCounts counts({1, 5, 10, 10});
    counts.add(classes({0, 2, 2, 3, 255}));
    counts.add(classes({0, 2, 0, 3, 255}));
    counts.add(classes({0, 0, 2, 3, 255}));
    counts.add(classes({0, 2, 0, 3, 255}));
    counts.add(classes({0, 2, 2, 3, 255}));
    return counts;
}

TEST(ClassCounts, SharesAndTheMostFrequent) {
    const ClassCounts counts = five_runs();
    const Field<float> share = counts.share_of(not_here);
    EXPECT_EQ(share[0], 0.0F);
    EXPECT_EQ(share[1], 0.8F);
    EXPECT_EQ(share[2], 0.6F);
    EXPECT_EQ(share[3], 0.0F);
    EXPECT_TRUE(std::isnan(share[4]));
    EXPECT_EQ(counts.most_frequent(0), plant);
    EXPECT_EQ(counts.most_frequent(2), not_here);
    EXPECT_EQ(counts.most_frequent(3), unknown);
    EXPECT_EQ(counts.runs(4), 0);
}

TEST(ClassCounts, SettledFromTheShareOnAndNeverUnknown) {
    const ClassCounts counts = five_runs();
    EXPECT_TRUE(counts.is_settled(1, 0.8));
    EXPECT_FALSE(counts.is_settled(1, 0.81));
    EXPECT_FALSE(counts.is_settled(2, 0.8));
    EXPECT_TRUE(counts.is_settled(2, 0.6));
    EXPECT_FALSE(counts.is_settled(3, 0.5));
    EXPECT_FALSE(counts.is_settled(4, 0.5));
}

TEST(FieldAgreement, WeighsCellsByTheirShare) {
    const std::vector<std::uint32_t> cells{0, 1, 2, 3, 4};
    const std::vector<float> share{1, 0.5F, 1, 0.25F, 1};
    const FieldAgreement field = field_agreement({1, 5, 10, 10}, five_runs(), 0.8, {cells, share});
    EXPECT_DOUBLE_EQ(field.ground_m2, 275);
    EXPECT_DOUBLE_EQ(field.settled_m2, 150);
    EXPECT_DOUBLE_EQ(field.settled_by_class_m2[0], 100);
    EXPECT_DOUBLE_EQ(field.settled_by_class_m2[2], 50);
    EXPECT_DOUBLE_EQ(field.unknown_m2, 25);
    EXPECT_DOUBLE_EQ(field.settled_share(), 150.0 / 275);
}

TEST(Confidence, EachLimitBelongsToTheBetterWord) {
    EXPECT_EQ(confidence_of(1), Confidence::sure);
    EXPECT_EQ(confidence_of(0.9), Confidence::sure);
    EXPECT_EQ(confidence_of(0.8999), Confidence::fairly_sure);
    EXPECT_EQ(confidence_of(0.7), Confidence::fairly_sure);
    EXPECT_EQ(confidence_of(0.6999), Confidence::open);
    EXPECT_EQ(confidence_of(0), Confidence::open);
}

TEST(DifferingShare, CountsTheZoneOnly) {
    const std::vector<std::uint32_t> cells{0, 1, 3};
    const std::vector<float> share{1, 0.5F, 1};
    EXPECT_DOUBLE_EQ(differing_share(classes({0, 1, 2, 255}), classes({0, 2, 1, 255}), {cells, share}),
                     0.5 / 1.5);
}

/// Against the textbook formula, on the offsets of a night.
TEST(RunSpread, IsTheStandardDeviation) {
    RunSpread sum({1, 2, 10, 10});
    const std::vector<double> values{-2.5, -1.25, -4, -3.75};
    for (const double v : values) {
        Field<float> run(1, 2);
        run[0] = static_cast<float>(v);
        run[1] = v == -4 ? NAN : 1.0F;
        EXPECT_TRUE(std::isnan(RunSpread({1, 2, 10, 10}).spread()[0]));
        sum.add(run);
    }
    const double mean = (-2.5 - 1.25 - 4 - 3.75) / 4;
    double squares = 0;
    for (const double v : values) squares += (v - mean) * (v - mean);
    EXPECT_NEAR(static_cast<double>(sum.spread()[0]), std::sqrt(squares / 3), 1e-6);
    EXPECT_TRUE(std::isnan(sum.spread()[1]));
}

}  // namespace
}  // namespace lielow
