// SPDX-License-Identifier: Apache-2.0
// Nights with hedges, walls, openings, fans and land cover.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <cstdio>

#include "sim/land_cover.hpp"
#include "support/slope_night.hpp"

namespace lielow {
namespace {

using testing::coldest_deficit;
using testing::ground_of;
using testing::line_obstacle;
using testing::surface_of;

/// A draw along x, 3 % steep, sides that rise 6 m over 100 m. In quarters of a metre, which a float holds
/// exactly.
double draw(double x, double y) {
    return std::round(4 * (230 - 0.03 * x + 6 * std::pow((y - 100) / 100, 2))) / 4;
}

NightSetup setup(double hours, double cell) {
    NightSetup s;
    s.duration_s = hours * 3600;
    s.reference_elevation_m = 230;
    s.cell_m = cell;
    s.sheet_step_k = 1.5;
    s.edges = EdgeKind::open;
    return s;
}

NightResult night_with(const Ground& ground, const NightSetup& s, const std::vector<Obstacle>& standing,
                       const std::vector<Fan>& fans = {}) {
    const NightPlan plan = plan_night(ground, s);
    const NightSurface surface = surface_of(standing, fans, ground, plan);
    return run_night(ground, s, plan, &surface);
}

void expect_same(const NightResult& a, const NightResult& b) {
    for (std::size_t k = 0; k < a.states.back().isotherm_height.size(); ++k) {
        const auto x = a.states.back().isotherm_height[k].all();
        const auto y = b.states.back().isotherm_height[k].all();
        EXPECT_TRUE(std::equal(x.begin(), x.end(), y.begin()));
    }
    EXPECT_EQ(a.heat_in_air_k_m3, b.heat_in_air_k_m3);
    EXPECT_EQ(a.steps, b.steps);
}

const Polyline across{{242, 0}, {242, 200}};

TEST(ObstacleNight, BeltBacksUpAndAnOpeningLetsGo) {
    const Ground ground = ground_of(20, 40, 10, draw);
    const NightSetup s = setup(1.5, 10);
    const auto hedge = [](std::vector<LineOpening> openings) {
        return line_obstacle(ObstacleKind::hedge, 6, 0.15, across, std::move(openings));
    };
    const NightResult free = night_with(ground, s, {});
    const NightResult held = night_with(ground, s, {hedge({})});
    const NightResult let = night_with(ground, s, {hedge({{80, 120, 1.0}})});
    const auto depth = [](const NightResult& r, int row, int col) {
        return static_cast<double>(r.states.back().isotherm_height[0](row, col));
    };
    const auto deficit = [&](const NightResult& r, int row, int col) {
        return static_cast<double>(coldest_deficit(ground, s, r)(row, col));
    };
    std::printf(
        "depth above / below the hedge: free %.2f / %.2f m, held %.2f / %.2f m, opened %.2f / %.2f m\n",
        depth(free, 10, 21), depth(free, 10, 28), depth(held, 10, 21), depth(held, 10, 28),
        depth(let, 10, 21), depth(let, 10, 28));
    // Heat missing from the air below the hedge, per square metre of ground, K m, while the cold air backs up
    // and at the end. Once as much runs over and through as forms above, the hedge only slows it: then there
    // is no less below than without it.
    const auto cold_below = [](const NightResult& r, const NightState& state) {
        double sum = 0;
        for (const Field<float>& height : state.isotherm_height) {
            for (int j = 0; j < 20; ++j) {
                for (int i = 26; i < 40; ++i) sum += r.scale.sheet_step * static_cast<double>(height(j, i));
            }
        }
        return sum / (20 * 14);
    };
    std::printf(
        "missing heat below the hedge after 15 and 90 min: free %.2f, %.2f; held %.2f, %.2f; opened "
        "%.2f, %.2f K m\n",
        cold_below(free, free.states[0]), cold_below(free, free.states.back()),
        cold_below(held, held.states[0]), cold_below(held, held.states.back()),
        cold_below(let, let.states[0]), cold_below(let, let.states.back()));
    std::printf("deficit above / below: free %.2f / %.2f K, held %.2f / %.2f K, opened %.2f / %.2f K\n",
                deficit(free, 10, 21), deficit(free, 10, 28), deficit(held, 10, 21), deficit(held, 10, 28),
                deficit(let, 10, 21), deficit(let, 10, 28));
    EXPECT_GT(depth(held, 10, 21), depth(free, 10, 21) + 1.0);
    EXPECT_LT(cold_below(held, held.states[0]), 0.9 * cold_below(free, free.states[0]));
    EXPECT_GT(cold_below(let, let.states[0]), cold_below(held, held.states[0]));
    EXPECT_GT(deficit(held, 10, 21), deficit(free, 10, 21) + 0.3);
    EXPECT_LT(depth(let, 10, 21), depth(held, 10, 21) - 0.5);
    EXPECT_LT(deficit(let, 10, 21), deficit(held, 10, 21));
    EXPECT_NEAR(held.heat_residual(), 0, 1e-4);
}

TEST(ObstacleNight, FullyOpenIsNoObstacleToTheBit) {
    const Ground ground = ground_of(12, 24, 10, draw);
    const NightSetup s = setup(0.7, 10);
    expect_same(night_with(ground, s, {}),
                night_with(ground, s,
                           {line_obstacle(ObstacleKind::fence, 3, 1.0, {{122, 0}, {131, 120}}),
                            line_obstacle(ObstacleKind::tree_belt, 9, 1.0, {{60, 0}, {60, 120}})}));
}

TEST(ObstacleNight, WallIsRaisedGroundToTheBit) {
    const Ground ground = ground_of(12, 24, 10, draw);
    const NightSetup s = setup(0.7, 10);
    Ground raised{ground.grid, ground.z.clone(), ground.known.clone()};
    for (int j = 0; j < 12; ++j) raised.z(j, 12) += 2.5F;
    NightResult wall =
        night_with(ground, s, {line_obstacle(ObstacleKind::wall, 2.5, 0, {{125, 0}, {125, 120}})});
    NightResult as_ground = run_night(raised, s, plan_night(raised, s));
    // Over the wall itself people are told the air beside it.
    for (NightResult* r : {&wall, &as_ground}) {
        for (Field<float>& height : r->states.back().isotherm_height) {
            for (int j = 0; j < 12; ++j) height(j, 12) = 0;
        }
    }
    expect_same(wall, as_ground);
    EXPECT_EQ(wall.ground(3, 12), static_cast<double>(ground.z(3, 12)));
}

TEST(ObstacleNight, MapOverTheWallIsTheFieldsAir) {
    // A closed basin whose pool stands against a wall 5 m high: the air at plant height over the wall's cells
    // is that of the cells beside them, not the wall's top sticking out of the pool.
    const Ground ground = ground_of(12, 24, 10, [](double, double) { return 200.0; });
    NightSetup s = setup(1, 10);
    s.edges = EdgeKind::wall;
    s.reference_elevation_m = 200;
    const NightResult night =
        night_with(ground, s, {line_obstacle(ObstacleKind::wall, 5, 0, {{125, 0}, {125, 120}})});
    const Field<float> deficit = coldest_deficit(ground, s, night);
    EXPECT_NEAR(deficit(6, 12), 0.5F * (deficit(6, 10) + deficit(6, 14)), 0.2);
}

TEST(ObstacleNight, PassageThroughTheDemsBank) {
    const auto with_bank = [](double x, double y) { return draw(x, y) + (x > 240 && x < 250 ? 10 : 0); };
    const Ground banked = ground_of(20, 40, 10, with_bank);
    const NightSetup s = setup(1, 10);
    const NightPlan plan = plan_night(banked, s);
    const auto night = [&](const std::vector<Passage>& passages) {
        NightSurface surface;
        CanopySum canopy(plan.grid);
        EXPECT_TRUE(
            add_passages(passages, block_means(banked, plan.blocks), plan.grid, canopy, surface).empty());
        canopy.put(surface);
        return run_night(banked, s, plan, &surface);
    };
    const NightResult closed = night({});
    const NightResult open = night({{"bridge", {{235, 105}, {255, 105}}, 8, 8}});
    // Heat missing from the air on the draw's floor above the bank, K m.
    const auto cold = [](const NightResult& r) {
        double sum = 0;
        for (const Field<float>& height : r.states.back().isotherm_height)
            sum += r.scale.sheet_step * static_cast<double>(height(10, 22));
        return sum;
    };
    std::printf("above the bank %.1f K m are missing, with a bridge of 8 m x 8 m %.1f\n", cold(closed),
                cold(open));
    EXPECT_LT(cold(open), 0.9 * cold(closed));
    EXPECT_NEAR(open.heat_residual(), 0, 1e-4);
}

TEST(Passages, CutThatIsAllOpenIsNoBankToTheBit) {
    // On level ground a passage as wide as the cell and as high as the bank takes it away.
    const Grid grid{5, 7, 10, 10};
    Field<double> ground(5, 7, 100.0);
    for (int j = 0; j < 5; ++j) ground(j, 3) = 104;
    NightSurface surface;
    CanopySum canopy(grid);
    EXPECT_TRUE(add_passages({{"p", {{25, 25}, {45, 25}}, 10, 4}}, ground, grid, canopy, surface).empty());
    canopy.put(surface);
    const Field<double> flowed = raised_ground(surface, ground);
    EXPECT_EQ(flowed(2, 3), 100.0);
    EXPECT_EQ(flowed(1, 3), 104.0);
    EXPECT_TRUE(surface.canopy_drag.empty());
    // At a slant, the way through is one of faces.
    NightSurface slanting;
    add_passages({{"p", {{15, 5}, {55, 45}}, 2, 2}}, ground, grid, canopy, slanting);
    EXPECT_LT(slanting.raised(2, 3), 0.0F);
    const double closed_share = screen_loss_coefficient(0.2 * 0.5);
    canopy.put(slanting);
    double sum = 0;
    for (const float d : slanting.canopy_drag.all()) sum += static_cast<double>(d) * 10;
    EXPECT_NEAR(sum, closed_share / 2, 1e-5 * closed_share);
    EXPECT_EQ(add_passages({{"flat", {{5, 5}, {25, 5}}, 2, 2}}, ground, grid, canopy, slanting),
              std::vector<std::string>{"flat"});
}

TEST(ObstacleNight, HedgeHoldsAlikeOnFineAndCoarseCells) {
    // The same slope and hedge on cells of 5 and 10 m: how much deeper the air above the hedge gets.
    const auto gain = [](double cell) {
        const Ground ground = ground_of(static_cast<int>(40 / cell), static_cast<int>(400 / cell), cell,
                                        [](double x, double) { return 230 - 0.03 * x; });
        const NightSetup s = setup(1.5, cell);
        const NightResult free = night_with(ground, s, {});
        const NightResult held =
            night_with(ground, s, {line_obstacle(ObstacleKind::hedge, 6, 0.3, {{242, 0}, {242, 40}})});
        const auto mean = [&](const NightResult& r, double from, double to) {
            double sum = 0;
            int count = 0;
            for (int i = static_cast<int>(from / cell); i < static_cast<int>(to / cell); ++i, ++count)
                sum += static_cast<double>(r.states.back().isotherm_height[0](1, i));
            return sum / count;
        };
        const double deeper = mean(held, 180, 230) - mean(free, 180, 230);
        std::printf("cells of %2.0f m: %.3f m deeper above the hedge (from %.3f m), %.3f m below it\n", cell,
                    deeper, mean(free, 180, 230), mean(held, 260, 310) - mean(free, 260, 310));
        return deeper;
    };
    const double fine = gain(5);
    const double coarse = gain(10);
    EXPECT_GT(fine, 0.3);
    EXPECT_NEAR(coarse / fine, 1.0, 0.15);
}

TEST(ObstacleNight, FanWarmsAroundItAndHeatCloses) {
    const Ground ground = ground_of(20, 40, 10, draw);
    const NightSetup s = setup(1.5, 10);
    const NightResult without = night_with(ground, s, {});
    const NightResult with = night_with(ground, s, {}, {{"fan", {205, 105}, 40, 250e3}});
    const Field<float> a = coldest_deficit(ground, s, without);
    const Field<float> b = coldest_deficit(ground, s, with);
    std::printf(
        "fan of 50 W/m2: %.2f K warmer at it, %.3f K at the far side; of %.3g K m3 given %.2f %% unused\n",
        a(10, 20) - b(10, 20), a(2, 2) - b(2, 2), with.heat_given_k_m3,
        100 * with.heat_unused_k_m3 / (with.heat_given_k_m3 + with.heat_unused_k_m3));
    EXPECT_GT(a(10, 20) - b(10, 20), 0.5F);
    EXPECT_NEAR(a(2, 2), b(2, 2), 0.05);
    EXPECT_NEAR(with.heat_residual(), 0, 1e-4);
    const double offered = 250e3 / air_heat_capacity(s.evening_air_k, s.reference_elevation_m) * s.duration_s;
    EXPECT_NEAR(with.heat_given_k_m3 + with.heat_unused_k_m3, offered, 1e-4 * offered);
}

TEST(ObstacleNight, HeatThatFindsNoColdIsCountedAsUnused) {
    // A hundred times what the ground loses: columns can't get warmer than the evening, so most of it rises
    // away, and no heat is lost silently.
    const Ground ground = ground_of(8, 8, 10, [](double, double) { return 230.0; });
    NightSetup s = setup(1, 10);
    s.edges = EdgeKind::wall;
    const NightResult night = night_with(ground, s, {}, {{"fire", {40, 40}, 15, 1e6}});
    std::printf("fire: %.3g K m3 lost to the ground, %.3g given, %.3g unused, residual %.1e\n",
                night.heat_lost_k_m3, night.heat_given_k_m3, night.heat_unused_k_m3, night.heat_residual());
    EXPECT_GT(night.heat_unused_k_m3, 10 * night.heat_given_k_m3);
    EXPECT_LE(night.heat_given_k_m3, night.heat_lost_k_m3);
    EXPECT_NEAR(night.heat_residual(), 0, 1e-4);
}

TEST(CoverNight, CoolsByItsLossAndReadsItsOwnGradient) {
    // Flat still ground, half of it water and half built, without wind between them (walls between): each
    // side is the conduction solution of its own loss.
    const Ground ground = ground_of(8, 24, 10, [](double, double) { return 230.0; });
    LandCover cover{usual_cover_classes(), Field<std::uint8_t>(8, 24, std::uint8_t{0})};
    cover.classes[1].loss = 0.5;
    for (int j = 0; j < 8; ++j) {
        for (int i = 12; i < 24; ++i) cover.cells(j, i) = 2;
    }
    NightSetup s = setup(2, 10);
    s.edges = EdgeKind::wall;
    s.cover_loss = std::make_shared<const Field<float>>(cover_loss(cover));
    s.sheet_step_k = 0.5;
    const NightPlan plan = plan_night(ground, s);
    NightSurface surface;
    CanopySum canopy(plan.grid);
    add_cover(cover, plan.blocks, s.ground_drag, canopy, surface);
    surface.raised = Field<float>(8, 24, 0.0F);
    for (int j = 0; j < 8; ++j) surface.raised(j, 12) = 90.0F;
    const NightResult night = run_night(ground, s, plan, &surface);
    const Field<float> deficit = coldest_deficit(ground, s, night);
    const double t = s.duration_s, k = s.mixing_m2_s, z = s.plant_height_m;
    const double exact = plan.loss_k_m_s * (2 * std::sqrt(t / (M_PI * k)) * std::exp(-z * z / (4 * k * t)) -
                                            z / k * std::erfc(z / (2 * std::sqrt(k * t))));
    std::printf("ordinary %.3f K (conduction %.3f), half the loss %.3f K\n", deficit(4, 2), exact,
                deficit(4, 21));
    EXPECT_NEAR(deficit(4, 2), exact, 0.3 * s.sheet_step_k);
    EXPECT_NEAR(deficit(4, 21), exact / 2, 0.3 * s.sheet_step_k);
}

TEST(CoverNight, MixturesAndCanopies) {
    LandCover cover{usual_cover_classes(), Field<std::uint8_t>(2, 4, std::uint8_t{0})};
    cover.cells(0, 0) = cover.cells(0, 1) = 3;  // half of the first coarse cell is orchard
    NightSurface surface;
    CanopySum canopy({1, 2, 10, 10});
    add_cover(cover, {2, 2}, 0.02, canopy, surface);
    canopy.put(surface);
    const CoverClass& orchard = cover.classes[2];
    EXPECT_NEAR(surface.ground_drag(0, 0), 0.5 * (0.02 + *orchard.ground_drag), 1e-7);
    EXPECT_FLOAT_EQ(surface.ground_drag(0, 1), 0.02F);
    EXPECT_NEAR(surface.canopy_drag(0, 0) * surface.canopy_top(0, 0), 0.5 * orchard.canopy_drag, 1e-6);
    EXPECT_NEAR(surface.canopy_top(0, 0), orchard.height_m, 1e-6);
}

TEST(CoverTable, DragIsTheLogLawOfItsRoughness) {
    // (0.4 / ln(2 m / z0))² with the roughness lengths the table's sources name.
    const auto law = [](double z0) { return std::pow(0.4 / std::log(2 / z0), 2); };
    const auto& classes = usual_cover_classes();
    EXPECT_NEAR(*classes[0].ground_drag, law(0.005), 1e-4);
    EXPECT_NEAR(*classes[1].ground_drag, law(0.03), 1e-4);
    EXPECT_NEAR(*classes[3].ground_drag, law(0.1), 2e-4);
    EXPECT_NEAR(*classes[4].ground_drag, law(0.0002), 1e-4);
    for (const CoverClass& c : classes) EXPECT_FALSE(c.source.empty()) << c.name;
}

}  // namespace
}  // namespace lielow
