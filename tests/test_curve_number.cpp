// SPDX-License-Identifier: Apache-2.0
// Runoff by curve number against worked examples of the handbook.
#include "sim/curve_number.hpp"

#include <gtest/gtest.h>

#include "sim/errors.hpp"

namespace lielow {
namespace {

constexpr double inch = 0.0254;

double runoff_in(double number, double rain_in, InitialLoss initial = InitialLoss::fifth) {
    return curve_runoff(curve_loss(number, initial), rain_in * inch) / inch;
}

TEST(CurveNumber, WorkedExamples) {
    EXPECT_NEAR(runoff_in(80, 8), 5.625, 1e-9);    // exact: (8 - 0.5)²/(8 + 2)
    EXPECT_NEAR(runoff_in(70, 6), 2.81, 0.006);    // TR-55 example 2-1, printed 2.81 (from memory)
    EXPECT_NEAR(runoff_in(75, 6), 3.28, 0.006);    // TR-55 example 2-2
    EXPECT_NEAR(runoff_in(74, 6), 3.19, 0.006);    // TR-55 example 2-3
    EXPECT_NEAR(runoff_in(74, 4.3), 1.82, 0.006);  // NEH 630 ch. 10, example 10-1
}

TEST(CurveNumber, TableOfRunoff) {
    // TR-55 table 2-1, printed to 0.01 in.
    struct Row {
        double number, rain, runoff;
    };
    for (const Row& r : {Row{60, 3, .33},
                         {60, 4, .76},
                         {60, 5, 1.30},
                         {60, 6, 1.92},
                         {70, 1.4, .06},
                         {70, 2, .24},
                         {70, 3, .71},
                         {70, 4, 1.33},
                         {70, 6, 2.81},
                         {80, 1, .08},
                         {80, 2, .56},
                         {80, 3, 1.25},
                         {80, 4, 2.04},
                         {80, 6, 3.78},
                         {90, 1, .32},
                         {90, 2, 1.09},
                         {90, 4, 2.92}})
        EXPECT_NEAR(runoff_in(r.number, r.rain), r.runoff, 0.0051) << r.number << " " << r.rain;
}

TEST(CurveNumber, SmallerInitialLoss) {
    // Computed apart from the formulas in inches: S = 3.5135, S05 = 1.33 S^1.15 = 5.6419.
    EXPECT_NEAR(runoff_in(74, 4.3, InitialLoss::twentieth), 1.671, 0.001);
    EXPECT_NEAR(runoff_in(74, 2, InitialLoss::twentieth), 0.401, 0.001);
    EXPECT_NEAR(runoff_in(74, 2), 0.350, 0.001);
}

TEST(CurveNumber, NothingRunsOffBeforeTheInitialLoss) {
    const CurveLoss loss = curve_loss(70);
    EXPECT_EQ(curve_runoff(loss, loss.initial_m), 0);
    EXPECT_EQ(curve_runoff(loss, 0), 0);
    EXPECT_GT(curve_runoff(loss, loss.initial_m + 1e-6), 0);
    EXPECT_DOUBLE_EQ(curve_runoff(curve_loss(100), 0.05), 0.05);  // sealed: all of it
}

TEST(CurveNumber, AntecedentCondition) {
    // NEH 630 table 10-1 against the formulas of Chow, Maidment & Mays (1988), eq. 5.5.12 and 5.5.13, which
    // leave the table by less than 2.
    for (const double number : {40.0, 55.0, 70.0, 85.0, 95.0}) {
        EXPECT_NEAR(curve_number_for(number, Antecedent::dry), 4.2 * number / (10 - 0.058 * number), 2.0);
        EXPECT_NEAR(curve_number_for(number, Antecedent::wet), 23 * number / (10 + 0.13 * number), 2.0);
        EXPECT_EQ(curve_number_for(number, Antecedent::average), number);
    }
    EXPECT_EQ(curve_number_for(80, Antecedent::dry), 63);
    EXPECT_EQ(curve_number_for(80, Antecedent::wet), 91);
    EXPECT_EQ(curve_number_for(100, Antecedent::dry), 100);
}

TEST(CurveNumber, RefusesWhatIsNone) {
    for (const double number : {0.0, -70.0, 100.5, 0.7})
        EXPECT_THROW(curve_loss(number), InputError) << number;
}

}  // namespace
}  // namespace lielow
