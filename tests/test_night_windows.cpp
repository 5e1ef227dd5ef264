// SPDX-License-Identifier: Apache-2.0
// A night run window by window against the same night on the whole grid, bit for bit.
#include "sim/night_windows.hpp"

#include <gtest/gtest.h>
#include <omp.h>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <cstring>
#include <memory>
#include <string>
#include <vector>

#include "sim/errors.hpp"
#include "sim/night_map.hpp"
#include "sim/night_surface.hpp"
#include "sim/stack_solver.hpp"
#include "tests/support/nest_ground.hpp"

namespace lielow {
namespace {

using namespace test;

bool same_bits(const Field<float>& a, const Field<float>& b) {
    return a.size() == b.size() && std::memcmp(a.data(), b.data(), a.size() * sizeof(float)) == 0;
}

// --- How far a step reaches -----------------------------------------------------------------------------

/// A few sheets over hills, as a night has them after some steps.
StackSolver<float> flowing_stack(MixingLaw law) {
    const Grid grid{24, 20, 15, 15};
    Field<double> z(grid.rows, grid.cols);
    for (std::int32_t j = 0; j < grid.rows; ++j) {
        for (std::int32_t i = 0; i < grid.cols; ++i) z(j, i) = hills(i * 15.0, j * 15.0);
    }
    StackParameters p;
    p.buoyancy = night_buoyancy(5, 1.0, 283);
    p.edges = {EdgeKind::far_field, EdgeKind::far_field, EdgeKind::far_field, EdgeKind::far_field};
    p.drag_law = DragLaw::quadratic;
    p.drag_coefficient = 0.02;
    p.interface_drag = 0.002;
    p.momentum_mixing = 0.04;
    p.exchange = {true, 0.04, 1.0, 0.2, law, 0.08, 0.1};
    StackSolver<float> solver(grid, z, p);
    solver.set_loss(0.0125);
    solver.run_until(600);
    return solver;
}

/// Rows (and columns) of what differs, counted from the cell that was disturbed.
struct Reach {
    int rows_up = 0, rows_down = 0, cols_left = 0, cols_right = 0, found = 0;
    void see(int row, int col) {
        rows_up = std::max(rows_up, -row);
        rows_down = std::max(rows_down, row);
        cols_left = std::max(cols_left, -col);
        cols_right = std::max(cols_right, col);
        ++found;
    }
};

template <class Value>
Reach reach(const StackSolver<float>& a, const StackSolver<float>& b, int rows, int cols, Value value) {
    constexpr int row0 = 12, col0 = 10;
    Reach r;
    for (int k = 0; k < a.sheets(); ++k) {
        for (int j = 0; j < rows; ++j) {
            for (int i = 0; i < cols; ++i) {
                const float x = value(a, k, j, i);
                const float y = value(b, k, j, i);
                if (std::memcmp(&x, &y, sizeof x) != 0) r.see(j - row0, i - col0);
            }
        }
    }
    return r;
}

/// What one step makes of a disturbance of cell (12, 10) or of its north or west face.
template <class Disturb>
void expect_one_row(MixingLaw law, Disturb disturb) {
    StackSolver<float> a = flowing_stack(law);
    StackSolver<float> b = flowing_stack(law);
    for (int k = 0; k < b.sheets(); ++k) disturb(b, k);
    const double end = a.time() + 0.5 * a.stable_step();
    a.step_to(end);
    b.step_to(end);
    const Grid& g = a.grid();
    const Reach h =
        reach(a, b, g.rows, g.cols, [](const auto& s, int k, int j, int i) { return s.thickness(k, j, i); });
    const Reach u = reach(a, b, g.rows, g.cols + 1,
                          [](const auto& s, int k, int j, int i) { return s.velocity_x(k, j, i); });
    const Reach v = reach(a, b, g.rows + 1, g.cols,
                          [](const auto& s, int k, int j, int i) { return s.velocity_y(k, j, i); });
    EXPECT_GT(h.found + u.found + v.found, 10);
    for (const int way : {h.rows_up, h.rows_down, h.cols_left, h.cols_right, u.rows_up, u.rows_down})
        EXPECT_LE(way, 1);
    // A y face lies half a row above its cell.
    EXPECT_LE(v.rows_up, 1);
    EXPECT_LE(v.rows_down, 2);
    EXPECT_LE(u.cols_left, 1);
    EXPECT_LE(u.cols_right, 2);
}

TEST(NightWindows, AStepReachesOneRow) {
    for (const MixingLaw law : {MixingLaw::uniform, MixingLaw::stability}) {
        expect_one_row(law,
                       [](auto& s, int k) { s.set_thickness(k, 12, 10, 1.2F * s.thickness(k, 12, 10)); });
        expect_one_row(law,
                       [](auto& s, int k) { s.set_velocity_x(k, 12, 10, s.velocity_x(k, 12, 10) + 0.1F); });
        expect_one_row(law,
                       [](auto& s, int k) { s.set_velocity_y(k, 12, 10, s.velocity_y(k, 12, 10) + 0.1F); });
    }
}

// --- Whole nights ---------------------------------------------------------------------------------------

constexpr int rows = 61, cols = 26;
constexpr double cell = 20;

/// Hills that fall down the rows, with a hollow of 12 m in row 30.
Field<double> uneven_ground() {
    Field<double> z(rows, cols);
    for (int j = 0; j < rows; ++j) {
        for (int i = 0; i < cols; ++i) {
            const double r = std::hypot(i - 12.0, j - 30.0) * cell;
            z(j, i) = hills((i + 0.5) * cell, (j + 0.5) * cell) -
                      (r < 140 ? 6 * (1 + std::cos(M_PI * r / 140)) : 0.0);
        }
    }
    return z;
}

struct Case {
    NightSetup setup;
    NightSurface surface;
    NightPlan plan;

    explicit Case(double minutes) {
        setup.duration_s = minutes * 60;
        setup.reference_elevation_m = 250;
        setup.cell_m = cell;
        setup.sheets = 6;
    }
    void make_plan() { plan = plan_night(Grid{rows, cols, cell, cell}, setup); }
    [[nodiscard]] WindowedNight windowed(WindowPlan windows, WindowStore& store,
                                         const NightProgress& progress = {}) const {
        return run_night_by_windows(uneven_ground(), setup, plan, windows, store, &surface, progress);
    }
    [[nodiscard]] NightResult whole(const std::vector<double>* step_ends) const {
        return run_night(uneven_ground(), setup, plan, &surface, {}, {.step_ends = step_ends});
    }
};

Case calm_case(double minutes) {
    Case c(minutes);
    c.make_plan();
    return c;
}

/// Weather with a wind that turns, mixing that follows stability, trees, a wall, a heater.
Case busy_case(double minutes, MixingLaw law) {
    Case c(minutes);
    c.setup.loss_rule = LossRule::radiation;
    for (int n = 0; n < 4; ++n)
        c.setup.weather.push_back(
            {n * 300.0 + 100, 283.0 - 0.4 * n, 275.0, 0.1 * n, n == 2 ? 0.5 : 2.0, 0.5 * n});
    c.setup.mixing_law = law;
    auto sky = std::make_shared<Field<float>>(rows, cols, 1.0F);
    for (std::size_t n = 0; n < sky->size(); ++n) (*sky)[n] = 0.9F + 0.1F * static_cast<float>(n % 7) / 7;
    c.setup.sky_view = sky;
    c.surface.canopy_top = Field<float>(rows, cols, 0.0F);
    c.surface.canopy_drag = Field<float>(rows, cols, 0.0F);
    c.surface.ground_drag = Field<float>(rows, cols, 0.02F);
    c.surface.heat_w_m2 = Field<float>(rows, cols, 0.0F);
    c.surface.raised = Field<float>(rows, cols, 0.0F);
    for (int i = 4; i < 20; ++i) {
        c.surface.canopy_top(23, i) = 5;
        c.surface.canopy_drag(23, i) = 0.2F;
        c.surface.ground_drag(40, i) = 0.05F;
        c.surface.raised(35, i) = i < 12 ? 3.0F : 0.0F;
    }
    for (const int j : {9, 10, 30, 31}) c.surface.heat_w_m2(j, 12) = 40;
    c.make_plan();
    return c;
}

void expect_same_sums(const WindowedNight& a, const NightResult& b) {
    const auto near = [&](double x, double y) { EXPECT_NEAR(x, y, 1e-9 * b.heat_lost_k_m3); };
    near(a.heat_lost_k_m3, b.heat_lost_k_m3);
    near(a.heat_given_k_m3, b.heat_given_k_m3);
    near(a.heat_unused_k_m3, b.heat_unused_k_m3);
    near(a.heat_in_air_k_m3, b.heat_in_air_k_m3);
    near(a.heat_through_edges_k_m3, b.heat_through_edges_k_m3);
    near(a.heat_from_aloft_k_m3, b.heat_from_aloft_k_m3);
    EXPECT_EQ(a.far_field_height, b.far_field_height);
    EXPECT_EQ(a.far_ground_m, b.far_ground_m);
    EXPECT_EQ(a.ladder_full_share, b.ladder_full_share);
    EXPECT_EQ(a.steps(), b.steps);
    EXPECT_NEAR(a.heat_residual(), 0, 2e-5);
}

void expect_same_cells(const WindowedNight& a, WindowStore& store, const NightResult& b) {
    const ColdestRows all = coldest_rows(a, store, 0, rows);
    for (std::size_t k = 0; k < b.coldest_height.size(); ++k)
        EXPECT_TRUE(same_bits(all.height[k], b.coldest_height[k])) << "sheet " << k;
    EXPECT_TRUE(same_bits(all.gradient, b.coldest_gradient));
    EXPECT_TRUE(same_bits(all.time_s, b.coldest_time_s));
}

void expect_same_as_whole(const Case& c, WindowPlan windows, int threads) {
    SCOPED_TRACE(testing::Message() << windows.rows << " rows, " << windows.steps << " steps, " << threads
                                    << " threads");
    const int before = omp_get_max_threads();
    omp_set_num_threads(threads);
    MemoryStore store;
    const WindowedNight night = c.windowed(windows, store);
    omp_set_num_threads(before);
    const NightResult whole = c.whole(&night.step_ends);
    expect_same_cells(night, store, whole);
    expect_same_sums(night, whole);
}

TEST(NightWindows, CalmNightIsTheWholeGridsToTheBit) {
    const Case c = calm_case(21);
    expect_same_as_whole(c, {.rows = 30, .steps = 10}, 2);  // a cut through the hollow
    expect_same_as_whole(c, {.rows = 7, .steps = 3}, 1);
    expect_same_as_whole(c, {.rows = 1, .steps = 5}, 1);
    expect_same_as_whole(c, {.rows = 13, .steps = 24}, 2);
}

TEST(NightWindows, BusyNightIsTheWholeGridsToTheBit) {
    for (const MixingLaw law : {MixingLaw::uniform, MixingLaw::stability}) {
        const Case c = busy_case(16, law);
        expect_same_as_whole(c, {.rows = 31, .steps = 12}, 1);
        expect_same_as_whole(c, {.rows = 10, .steps = 7}, 2);
    }
}

TEST(NightWindows, OpenEdgesAndWallsToo) {
    for (const EdgeKind edges : {EdgeKind::open, EdgeKind::wall}) {
        Case c(25);
        c.setup.edges = edges;
        c.make_plan();
        expect_same_as_whole(c, {.rows = 20, .steps = 9}, 1);
    }
}

/// A calm that a gale breaks at once: the flow quickens more than anything before let expect.
TEST(NightWindows, ABlockOfTooLongStepsIsDoneAgain) {
    Case c(20);
    c.setup.weather = {{.time_s = 0, .wind_speed_m_s = 0, .wind_from_rad = 0.3},
                       {.time_s = 800, .wind_speed_m_s = 0, .wind_from_rad = 0.3},
                       {.time_s = 801, .wind_speed_m_s = 25, .wind_from_rad = 0.3}};
    c.setup.wind.mixed_depth_m = 1000;
    c.setup.interface_drag = 0.05;
    c.make_plan();
    MemoryStore store;
    const WindowedNight night = c.windowed({.rows = 25, .steps = 24}, store);
    EXPECT_GT(night.blocks_again, 0);
    const NightResult whole = c.whole(&night.step_ends);
    expect_same_cells(night, store, whole);
    expect_same_sums(night, whole);
}

// As long as a block may have its usual steps, memory is no part of the result.
TEST(NightWindows, RowsOfAWindowChangeNoBit) {
    const Case c = busy_case(11, MixingLaw::uniform);
    MemoryStore few, many;
    const WindowedNight a = c.windowed({.rows = rows, .steps = 24}, few);
    const WindowedNight b = c.windowed({.rows = 9, .steps = 24}, many);
    EXPECT_EQ(a.step_ends, b.step_ends);
    EXPECT_EQ(a.blocks, b.blocks);
    const ColdestRows x = coldest_rows(a, few, 0, rows);
    for (int first = 0; first < rows; first += 11) {
        const ColdestRows y = coldest_rows(b, many, first, std::min(11, rows - first));
        for (int j = 0; j < y.time_s.rows(); ++j) {
            for (int i = 0; i < cols; ++i) {
                EXPECT_EQ(x.height[2](first + j, i), y.height[2](j, i));
                EXPECT_EQ(x.time_s(first + j, i), y.time_s(j, i));
            }
        }
    }
}

/// Root mean square and largest difference at plant height, K.
FieldError difference(const Case& c, const NightResult& a, const NightResult& b) {
    Field<float> z(rows, cols);
    for (std::size_t n = 0; n < z.size(); ++n) z[n] = static_cast<float>(a.ground[n]);
    const Ground ground = known_ground(std::move(z), cell);
    const Field<float> x = coldest(ground, c.setup, a);
    const Field<float> y = coldest(ground, c.setup, b);
    FieldError e;
    for (std::size_t n = 0; n < x.size(); ++n) {
        const double d = static_cast<double>(x[n]) - static_cast<double>(y[n]);
        e.rms += d * d / static_cast<double>(x.size());
        e.most = std::max(e.most, std::abs(d));
    }
    e.rms = std::sqrt(e.rms);
    return e;
}

/// Of the night by windows from the one that chooses its steps as it goes, and of that from half its steps.
void expect_close(const Case& c) {
    MemoryStore store;
    const std::vector<double> ends = c.windowed({.rows = 30, .steps = 24}, store).step_ends;
    std::vector<double> halves;
    for (const double end : ends) {
        halves.push_back(0.5 * (end + (halves.empty() ? 0.0 : halves.back())));
        halves.push_back(end);
    }
    const NightResult ordinary = c.whole(nullptr);
    const NightResult windowed = c.whole(&ends);
    const FieldError off = difference(c, windowed, ordinary);
    const FieldError halved = difference(c, ordinary, c.whole(&halves));
    std::printf("%zu steps for %lld; off by %.4f K at most, %.5f rms; half the steps: %.4f, %.5f\n",
                ends.size(), static_cast<long long>(ordinary.steps), off.most, off.rms, halved.most,
                halved.rms);
    EXPECT_LT(off.most, std::max(0.02, 1.2 * halved.most));
    EXPECT_LT(off.rms, 1.2 * halved.rms);
    EXPECT_LT(static_cast<double>(ends.size()), 1.1 * static_cast<double>(ordinary.steps));
}

TEST(NightWindows, CloseToANightThatChoosesItsSteps) {
    expect_close(calm_case(45));
    // Under wind single cells hang on the moment at which their last sheet goes.
    Case windy(25);
    windy.setup.wind = {.speed_m_s = 2, .from_rad = 1};
    windy.make_plan();
    expect_close(windy);
}

TEST(NightWindows, AStoppedNightLeavesAStoreThatCanBeUsedAgain) {
    const Case c = calm_case(12);
    const WindowPlan windows{.rows = 20, .steps = 8};
    MemoryStore fresh, used;
    const WindowedNight through = c.windowed(windows, fresh);
    int calls = 0;
    double last = -1;
    const auto stop = [&](double share) {
        EXPECT_GE(share, last);
        last = share;
        return ++calls < 30;
    };
    EXPECT_THROW(c.windowed(windows, used, stop), Interrupted);
    EXPECT_GT(last, 0);
    EXPECT_LT(last, 1);
    const WindowedNight again = c.windowed(windows, used);
    EXPECT_TRUE(same_bits(coldest_rows(through, fresh, 0, rows).height[1],
                          coldest_rows(again, used, 0, rows).height[1]));
}

TEST(NightWindows, TooLittleMemoryIsToldInOneLine) {
    NightSetup s;
    s.sheets = 24;
    s.cell_m = 10;
    const NightPlan plan = plan_night(Grid{5000, 4000, 10, 10}, s);
    try {
        plan_windows(s, plan, 100'000'000ULL);
        FAIL();
    } catch (const InputError& error) {
        const std::string text = error.what();
        EXPECT_EQ(text.find('\n'), std::string::npos);
        const std::string begin = "a night of 4000 x 5000 cells on 24 sheets takes at least ";
        ASSERT_EQ(text.substr(0, begin.size()), begin) << text;
        // What it asks for is enough.
        const std::uint64_t asked = std::stoull(text.substr(begin.size()));
        EXPECT_NO_THROW(plan_windows(s, plan, asked * 1'000'000));
        EXPECT_THROW(plan_windows(s, plan, (asked - 5) * 1'000'000), InputError);
    }
    s.order = SchemeOrder::second;
    EXPECT_THROW(plan_windows(s, plan, 100'000'000'000ULL), InputError);
    Case c = calm_case(5);
    c.setup.order = SchemeOrder::second;
    MemoryStore store;
    EXPECT_THROW(c.windowed({.rows = rows, .steps = 24}, store), InputError);
}

}  // namespace
}  // namespace lielow
