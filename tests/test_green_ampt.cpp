// SPDX-License-Identifier: Apache-2.0
// Soaking in by Green and Ampt, against worked examples of Chow, Maidment & Mays, "Applied Hydrology" (1988),
// §4.3 and 4.4 (from memory; further digits computed apart), and its own law integrated.
#include "sim/green_ampt.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <string>

#include "sim/errors.hpp"

namespace lielow {
namespace {

constexpr double cm = 0.01;
constexpr double hour = 3600;
constexpr double cm_h = cm / hour;

/// Silt loam at an effective saturation of 30 % as the book rounds it: ψ 16.7 cm, Δθ 0.340, K 0.65 cm/h.
const GreenAmptSoil book{0.65 * cm_h, 16.7 * cm, 0.340};

TEST(GreenAmpt, PondedForAnHour) {
    // Example 4.3.1: F = 3.17 cm, f = 1.81 cm/h.
    const double soaked = soaked_when_ponded(book, 0, hour);
    EXPECT_NEAR(soaked / cm, 3.17, 0.005);
    EXPECT_NEAR(soaked / cm, 3.1664, 1e-4);
    EXPECT_NEAR(soaking_rate(book, soaked) / cm_h, 1.8156, 1e-4);
}

TEST(GreenAmpt, PondingUnderRain) {
    // Example 4.4.1: 1 cm/h ponds after 10.5 h, 5 cm/h after 0.17 h with 0.85 cm soaked in.
    EXPECT_NEAR(ponding_depth(book, cm_h) / cm_h / hour, 10.545, 1e-3);
    EXPECT_NEAR(ponding_depth(book, 5 * cm_h) / cm, 0.84844, 1e-5);
    EXPECT_NEAR(ponding_depth(book, 5 * cm_h) / (5 * cm_h) / hour, 0.16969, 1e-5);
    EXPECT_TRUE(std::isinf(ponding_depth(book, 0.6 * cm_h)));
}

TEST(GreenAmpt, AnHourOfRain) {
    // Example 4.4.2: 5 cm/h for an hour: F = 3.02 cm, f = 1.87 cm/h.
    const double soaked = soaks_in(book, 0, 0, 5 * cm_h, hour);
    EXPECT_NEAR(soaked / cm, 3.01724, 1e-5);
    EXPECT_NEAR(soaking_rate(book, soaked) / cm_h, 1.87320, 1e-5);
}

TEST(GreenAmpt, StepsDoNotMatterUnderSteadyRain) {
    // While water ponds it runs off at once here, so that the law has no memory but F.
    for (const int steps : {2, 7, 60, 3600}) {
        double soaked = 0;
        for (int n = 0; n < steps; ++n) soaked += soaks_in(book, soaked, 0, 5 * cm_h, hour / steps);
        EXPECT_NEAR(soaked / cm, 3.01724, 1e-5) << steps;
    }
}

TEST(GreenAmpt, OneInchInAnHourOnEverySoil) {
    // Runoff, cm, after 2.54 cm of rain in an hour at a saturation of 0.3 (computed apart from the same
    // table).
    struct Row {
        const char* texture;
        double runoff;
    };
    for (const Row& r : {Row{"sand", 0},
                         {"loamy sand", 0},
                         {"sandy loam", .003},
                         {"silt loam", .052},
                         {"loam", 1.022},
                         {"clay loam", 1.542},
                         {"silty clay", 1.593},
                         {"clay", 1.812}}) {
        const double soaked = soaks_in(soil_of_texture(r.texture, 0.3), 0, 0, 2.54 * cm_h, hour);
        EXPECT_NEAR(2.54 - soaked / cm, r.runoff, 6e-4) << r.texture;
    }
}

TEST(GreenAmpt, TakesNoMoreThanIsThere) {
    EXPECT_EQ(soaks_in(book, 0, 0.5 * cm, 0, hour), 0.5 * cm);
    EXPECT_EQ(soaks_in(book, 2 * cm, 0, 0, hour), 0);
    EXPECT_NEAR(soaks_in(book, 2 * cm, 5 * cm, 0, hour), soaked_when_ponded(book, 2 * cm, hour) - 2 * cm,
                1e-15);
}

TEST(GreenAmpt, AfterAPauseTheSoilTakesNoFaster) {
    double soaked = soaks_in(book, 0, 0, 5 * cm_h, hour);
    const double before = soaking_rate(book, soaked);
    soaked += soaks_in(book, soaked, 0, 0, 3 * hour);
    EXPECT_EQ(soaking_rate(book, soaked), before);
    // Rain above that rate ponds at once.
    EXPECT_NEAR(soaks_in(book, soaked, 0, 5 * cm_h, 60), soaked_when_ponded(book, soaked, 60) - soaked,
                1e-15);
}

TEST(GreenAmpt, FullAndSealedSoils) {
    const GreenAmptSoil full = soil_of_texture("loam", 1.0);
    EXPECT_NEAR(soaks_in(full, 0, 0, 5 * cm_h, hour), 0.34 * cm, 1e-12);
    EXPECT_EQ(soaks_in({0, 0.1, 0.3}, 0, 0.1, 5 * cm_h, hour), 0);
}

TEST(GreenAmpt, RefusesAWrongUnitWithAHint) {
    const auto message = [](const GreenAmptSoil& soil) {
        try {
            validate_soil(soil);
        } catch (const InputError& error) {
            return std::string(error.what());
        }
        return std::string();
    };
    EXPECT_EQ(message(book), "");
    EXPECT_EQ(message({0, 0.1, 0.3}), "");
    EXPECT_NE(message({6.5 / hour, 0.167, 0.34}).find("cm/h"), std::string::npos);  // µm/s taken for m/h
    EXPECT_NE(message({0.65e-12, 0.167, 0.34}).find("unit"), std::string::npos);
    EXPECT_NE(message({-1e-6, 0.167, 0.34}).find("negative"), std::string::npos);
    EXPECT_NE(message({1e-6, 16.7, 0.34}).find("suction"), std::string::npos);  // cm for m
    EXPECT_NE(message({1e-6, 0.167, 34}).find("pore"), std::string::npos);      // per cent
    EXPECT_THROW(soil_of_texture("lome", 0.3), InputError);
    EXPECT_THROW(soil_of_texture("loam", 30), InputError);
}

}  // namespace
}  // namespace lielow
