// SPDX-License-Identifier: Apache-2.0
// What a run of the ensemble changes of the site, and what it leaves alone.
#include <gtest/gtest.h>

#include <cmath>
#include <set>

#include "sim/errors.hpp"
#include "sim/green_ampt.hpp"
#include "support/temp_dir.hpp"
#include "tools/ensemble.hpp"

namespace lielow {
namespace {

class EnsembleDraws : public ::testing::Test {
  protected:
    Site read(const std::string& text) {
        testing::write_text(folder_ / "site.toml",
                            "[ground]\ndem = \"dem.tif\"\nvertical_accuracy = \"0.1 m\"\n" + text + "\n");
        return read_site(folder_ / "site.toml");
    }
    testing::TempDir folder_;
};

TEST_F(EnsembleDraws, TwoOfThreeLieWithinTheFactor) {
    const Site site = read("[ensemble]\nruns = 300\nmixing_factor = 2\nheat_loss_factor = 1");
    int within = 0;
    std::set<std::uint64_t> seeds;
    double logs = 0;
    for (const EnsembleDraw& draw : ensemble_draws(site)) {
        EXPECT_EQ(draw.heat_loss, 1);
        EXPECT_EQ(draw.error_m, 0.1);
        if (draw.mixing >= 0.5 && draw.mixing <= 2) ++within;
        logs += std::log2(draw.mixing);
        seeds.insert(draw.error_seed);
    }
    // A Latin hypercube hits the share of a standard normal within one standard error, 0.6827, to 2 in 300.
    EXPECT_NEAR(within, 300 * 0.6827, 2);
    EXPECT_NEAR(logs / 300, 0, 0.02);
    EXPECT_EQ(seeds.size(), 300U);
}

TEST_F(EnsembleDraws, HeatLossScalesWhatTheNightLosesBy) {
    const EnsembleDraw draw{1.5, 1, 1, 1, 0, 0};
    EXPECT_DOUBLE_EQ(*drawn_site(read(""), draw, "").night.heat_loss_w_m2, 22.5);
    EXPECT_DOUBLE_EQ(*drawn_site(read("[night]\nheat_loss = \"10 W/m2\""), draw, "").night.heat_loss_w_m2,
                     15);
    const Site by_sky = drawn_site(read("[night]\ndew_point = \"30 degF\""), draw, "");
    EXPECT_FALSE(by_sky.night.heat_loss_w_m2);
    EXPECT_DOUBLE_EQ(by_sky.night.air_share, 0.75);
    const EnsembleDraw much{3, 1, 1, 1, 0, 0};
    EXPECT_DOUBLE_EQ(drawn_site(read("[night]\ndew_point = \"30 degF\""), much, "").night.air_share, 1);
}

/// S = 1000/CN - 10 inches (NEH 630 ch. 10): of CN 80 it is 2.5, twice that is CN 66.67.
TEST_F(EnsembleDraws, RetentionScalesTheCurveNumbersS) {
    const Site site = read("[water]\nstorm = \"3 in\"\nstorm_shape = \"type II\"\ncurve_number = 80");
    EXPECT_NEAR(*drawn_site(site, {1, 1, 1, 2, 0, 0}, "").water.run.curve_number, 1000.0 / 15, 1e-9);
    EXPECT_EQ(*drawn_site(site, {1, 2, 3, 1, 0, 0}, "").water.run.curve_number, 80);
}

TEST_F(EnsembleDraws, ConductivityScalesBothSoils) {
    const Site site =
        read("[water]\nstorm = \"3 in\"\nstorm_shape = \"type II\"\nsoil_texture = \"silt loam\"");
    const Site drawn = drawn_site(site, {1, 1, 3, 1, 0, 0}, "");
    EXPECT_DOUBLE_EQ(drawn.soil.conductivity_times, 3);
    const double published = soil_of_texture("silt loam", site.water.run.saturation).conductivity;
    EXPECT_DOUBLE_EQ(*drawn.water.run.conductivity, 3 * published);
}

TEST_F(EnsembleDraws, WithoutSpreadTheSiteStaysAsItIs) {
    const Site site = read("[night]\nmixing = \"0.05 m2/s\"\ncell = \"10 m\"\n[ensemble]\nruns = 5");
    const Site drawn = drawn_site(site, {}, "500000.00, 4400000.00");
    EXPECT_EQ(drawn.night.mixing_m2_s, site.night.mixing_m2_s);
    EXPECT_EQ(drawn.night.calm_friction_velocity_m_s, site.night.calm_friction_velocity_m_s);
    EXPECT_FALSE(drawn.night.heat_loss_w_m2);
    EXPECT_EQ(drawn.night.cell_m, 10);
    EXPECT_EQ(drawn.night.reference, "500000.00, 4400000.00");
    EXPECT_EQ(drawn.ensemble.runs, 0) << "no ensemble within an ensemble";
    EXPECT_EQ(drawn_site(read("[ensemble]\nnight_cell = \"40 m\""), {}, "").night.cell_m, 40);
}

TEST_F(EnsembleDraws, AskForWhatTheyNeed) {
    Site site = read("[ensemble]\nruns = 5\n[crop]\nkind = \"apple\"");
    EXPECT_NO_THROW(check_ensemble(site));
    site.crop.kind.reset();
    EXPECT_TRUE(testing::holds(testing::complaint<InputError>([&] { check_ensemble(site); }), "crop.kind"));
    site.ground.vertical_accuracy_m.reset();
    EXPECT_TRUE(testing::holds(testing::complaint<InputError>([&] { check_ensemble(site); }),
                               "ground.vertical_accuracy"));
    site.ensemble.runs = 0;
    EXPECT_NO_THROW(check_ensemble(site));
}

}  // namespace
}  // namespace lielow
