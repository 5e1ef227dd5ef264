// SPDX-License-Identifier: Apache-2.0
// A night that was put aside and taken up again is the same, bit for bit, as one that ran through.
#include <gtest/gtest.h>

#include <cmath>
#include <cstring>
#include <vector>

#include "sim/errors.hpp"
#include "sim/night.hpp"
#include "sim/night_ring.hpp"
#include "sim/night_watch.hpp"
#include "sim/state_walk.hpp"
#include "support/nest_ground.hpp"

namespace lielow {
namespace {

using namespace test;

/// Keeps in memory; throws Interrupted after so many keepings, as if the run had been stopped there.
class MemoryKeeper final : public StateKeeper {
  public:
    explicit MemoryKeeper(int stop_after) : left_(stop_after) {}
    bool restore(const WalkOver& over) override {
        if (kept_.whole.empty()) return false;
        StateWalk walk(kept_);
        over(walk);
        walk.finish();
        logged_.clear();
        StateWalk count(logged_);
        over(count);
        restored_ = true;
        return true;
    }
    void keep(double /*time_s*/, const WalkOver& over) override {
        StateWalk walk(logged_);
        over(walk);
        kept_.whole = walk.whole();
        kept_.added.push_back(walk.added());
        if (--left_ == 0) throw Interrupted();
    }
    [[nodiscard]] bool restored() const { return restored_; }
    KeptState& kept() { return kept_; }

  private:
    int left_;
    bool restored_ = false;
    std::vector<std::size_t> logged_;
    KeptState kept_;
};

bool same_bits(const Field<float>& a, const Field<float>& b) {
    return a.size() == b.size() && std::memcmp(a.data(), b.data(), a.size() * sizeof(float)) == 0;
}

void expect_same(const NightResult& a, const NightResult& b) {
    ASSERT_EQ(a.states.size(), b.states.size());
    for (std::size_t n = 0; n < a.states.size(); ++n) {
        EXPECT_EQ(a.states[n].time_s, b.states[n].time_s);
        for (std::size_t k = 0; k < a.states[n].isotherm_height.size(); ++k)
            EXPECT_TRUE(same_bits(a.states[n].isotherm_height[k], b.states[n].isotherm_height[k]))
                << n << " " << k;
        EXPECT_TRUE(same_bits(a.states[n].wind_x, b.states[n].wind_x));
        EXPECT_TRUE(same_bits(a.states[n].wind_y, b.states[n].wind_y));
        EXPECT_TRUE(same_bits(a.states[n].gradient, b.states[n].gradient));
    }
    for (std::size_t k = 0; k < a.coldest_height.size(); ++k)
        EXPECT_TRUE(same_bits(a.coldest_height[k], b.coldest_height[k]));
    EXPECT_TRUE(same_bits(a.coldest_time_s, b.coldest_time_s));
    EXPECT_TRUE(same_bits(a.coldest_gradient, b.coldest_gradient));
    EXPECT_EQ(a.far_field_height, b.far_field_height);
    EXPECT_EQ(a.heat_lost_k_m3, b.heat_lost_k_m3);
    EXPECT_EQ(a.heat_given_k_m3, b.heat_given_k_m3);
    EXPECT_EQ(a.heat_unused_k_m3, b.heat_unused_k_m3);
    EXPECT_EQ(a.heat_in_air_k_m3, b.heat_in_air_k_m3);
    EXPECT_EQ(a.heat_through_edges_k_m3, b.heat_through_edges_k_m3);
    EXPECT_EQ(a.heat_from_aloft_k_m3, b.heat_from_aloft_k_m3);
    EXPECT_EQ(a.steps, b.steps);
}

void expect_same(const FlowWatch& a, const FlowWatch& b) {
    EXPECT_TRUE(same_bits(a.mean().u, b.mean().u));
    EXPECT_TRUE(same_bits(a.mean().v, b.mean().v));
    ASSERT_EQ(a.at_states().size(), b.at_states().size());
    for (std::size_t n = 0; n < a.at_states().size(); ++n)
        EXPECT_TRUE(same_bits(a.at_states()[n].u, b.at_states()[n].u));
    ASSERT_EQ(a.borders().size(), b.borders().size());
    for (std::size_t n = 0; n < a.borders().size(); ++n) {
        const BorderSums& left = a.borders()[n].sums();
        const BorderSums& right = b.borders()[n].sums();
        EXPECT_EQ(left.air_in_m3, right.air_in_m3);
        EXPECT_EQ(left.air_out_m3, right.air_out_m3);
        EXPECT_EQ(left.cold_in_k_m3, right.cold_in_k_m3);
        EXPECT_EQ(left.cold_out_k_m3, right.cold_out_k_m3);
        EXPECT_EQ(left.low_in_k_m3, right.low_in_k_m3);
        EXPECT_EQ(left.face_low_in_k_m3, right.face_low_in_k_m3);
        EXPECT_EQ(left.content_k_m3, right.content_k_m3);
    }
}

struct Case {
    Ground ground = hill_ground(20, 26, 36);
    NightSetup setup;
    NightSurface surface;
    NightPlan plan;
    std::vector<int> stops{1, 2, 4};  ///< keepings after which the night is stopped

    Case() {
        setup.duration_s = 3.4 * 3600;
        setup.reference_elevation_m = 250;
        setup.cell_m = 36;
        setup.sheets = 8;
    }
    void make_plan() { plan = plan_night(ground, setup); }
    [[nodiscard]] FlowWatch watch() const {
        FieldCells field;
        for (std::int32_t j = 6; j < 12; ++j) {
            for (std::int32_t i = 8; i < 15; ++i) field.cells.push_back(plan.grid.index(j, i));
        }
        for (std::int32_t j = 6; j < 12; ++j) field.border.push_back({j, 8, j, 7, 6});
        std::vector<BorderMeter> borders;
        borders.emplace_back(plan.grid, field, plan.sheet_step_k, 3);
        return {plan, 3, std::move(borders)};
    }
    NightResult run(FlowWatch& watch, StateKeeper* keeper) const {
        return run_night(ground, setup, plan, &surface, {}, {.observer = &watch, .keeper = keeper});
    }
    void expect_same_when_stopped() {
        make_plan();
        FlowWatch through = watch();
        const NightResult unbroken = run(through, nullptr);
        for (const int keepings : stops) {
            SCOPED_TRACE(keepings);
            MemoryKeeper keeper(keepings);
            FlowWatch lost = watch();
            EXPECT_THROW(run(lost, &keeper), Interrupted);
            FlowWatch resumed = watch();
            expect_same(unbroken, run(resumed, &keeper));
            EXPECT_TRUE(keeper.restored());
            expect_same(through, resumed);
        }
    }
};

TEST(StateWalk, CalmNightGoesOnToTheBit) {
    Case().expect_same_when_stopped();
}

TEST(StateWalk, WindyWeatherAndFansGoOnToTheBit) {
    Case c;
    c.setup.loss_rule = LossRule::radiation;
    for (int hour = 0; hour < 5; ++hour) {
        c.setup.weather.push_back(
            {hour * 3600.0 + 400, 283.0 - hour, 275.0, 0.1 * hour, hour == 2 ? 0.5 : 2.0, 0.3 * hour});
    }
    c.setup.mixing_law = MixingLaw::stability;
    c.setup.sheets = 4;
    c.surface.heat_w_m2 = Field<float>(20, 26, 0.0F);
    c.surface.heat_w_m2(9, 9) = 30;
    c.expect_same_when_stopped();
}

// Without gusts, and with steps far shorter than half a minute, the stirring isn't renewed at whole hours.
TEST(StateWalk, CalmStableNightGoesOnToTheBit) {
    Case c;
    c.ground = hill_ground(20, 26, 22);
    c.setup.cell_m = 22;
    c.setup.duration_s = 1.3 * 3600;
    c.setup.mixing_law = MixingLaw::stability;
    c.setup.calm_friction_velocity_m_s = 0.03;  // less than the flow stirs
    c.setup.sheets = 4;
    c.stops = {1};
    c.expect_same_when_stopped();
}

TEST(StateWalk, SecondOrderWindOverUniformMixingGoesOnToTheBit) {
    Case c;
    c.setup.order = SchemeOrder::second;
    c.setup.wind = {.speed_m_s = 1.2, .from_rad = 2.0};
    c.setup.edges = EdgeKind::open;
    c.expect_same_when_stopped();
}

TEST(StateWalk, NestedNightsGoOnToTheBit) {
    const Ground wide = hill_ground(48, 48, 36);
    const Cutout cut = cut_out(wide, 24, 4);
    NightSetup setup;
    setup.duration_s = 2.2 * 3600;
    setup.reference_elevation_m = 250;
    setup.cell_m = wide.grid.dx;
    setup.sheets = 6;
    const NightPlan plan = plan_night(cut.farm, setup);
    const Surround surround = surround_of(wide, cut, 2);
    NightSetup outer = setup;
    outer.cell_m = 2 * wide.grid.dx;
    outer.sheet_step_k = plan.sheet_step_k;
    const NightAround around{setup, plan_night(surround.ground, outer), {}};
    const auto run = [&](StateKeeper* farm, StateKeeper* outside) {
        return run_nested_night(cut.farm, surround, setup, plan, around,
                                {.farm_keeper = farm, .around_keeper = outside});
    };
    const NestedNight unbroken = run(nullptr, nullptr);
    for (const bool stop_inside : {false, true}) {
        MemoryKeeper farm(stop_inside ? 2 : 100);
        MemoryKeeper outside(stop_inside ? 100 : 1);
        EXPECT_THROW(run(&farm, &outside), Interrupted);
        const NestedNight resumed = run(&farm, &outside);
        EXPECT_TRUE(outside.restored());
        EXPECT_EQ(farm.restored(), stop_inside);
        expect_same(unbroken.farm, resumed.farm);
        expect_same(unbroken.around, resumed.around);
        EXPECT_EQ(unbroken.ring_samples, resumed.ring_samples);
    }
}

TEST(StateWalk, AStateThatDoesNotFitIsRefused) {
    Case c;
    c.make_plan();
    MemoryKeeper keeper(1);
    FlowWatch watch = c.watch();
    EXPECT_THROW(c.run(watch, &keeper), Interrupted);
    KeptState& kept = keeper.kept();
    const std::vector<std::byte> whole = kept.whole;
    const auto refused = [&] {
        FlowWatch again = c.watch();
        EXPECT_THROW(c.run(again, &keeper), RunError);
    };
    kept.whole.pop_back();
    refused();
    kept.whole = whole;
    kept.whole.push_back({});
    refused();
    kept.whole = whole;
    kept.added.clear();
    refused();
}

}  // namespace
}  // namespace lielow
