// SPDX-License-Identifier: Apache-2.0
// What a storm run on coarse cells and told on fine ones costs against one run on the fine ones: the table of
// docs/storm.md. Minutes.
#include <fmt/format.h>

#include <chrono>
#include <cmath>

#include "sim/catchments.hpp"
#include "sim/fine_storm.hpp"
#include "sim/hollows.hpp"
#include "sim/tie_order.hpp"
#include "tests/support/rough_ground.hpp"

namespace lielow {
namespace {

constexpr double inch = 0.0254;
constexpr float roughness = 0.15F;

/// A farm of 240 m by 240 m on 1 m: a swale that falls to one side, hollows of 15 to 60 m in it and beside
/// it, and centimetres of roughness from cell to cell.
Ground farm() {
    constexpr std::int32_t n = 240;
    Ground g{{n, n, 1, 1}, Field<float>(n, n), Field<std::uint8_t>(n, n, std::uint8_t{1})};
    for (std::int32_t j = 0; j < n; ++j) {
        for (std::int32_t i = 0; i < n; ++i) {
            const double x = i + 0.5;
            const double y = j + 0.5;
            const double swale = 0.02 * std::abs(y - 120 - 25 * std::sin(x / 50)) + 0.012 * x;
            const double roll =
                0.35 * std::sin(x / 9.0 + 0.5) * std::sin(y / 11.0) + 0.15 * std::sin(x / 4.0 + y / 5.0);
            const double rough =
                0.03 * (scatter(static_cast<std::uint32_t>(i), static_cast<std::uint32_t>(j), 3) - 0.5);
            g.z(j, i) = static_cast<float>(100 + swale + roll + rough);
        }
    }
    return g;
}

/// 60 mm within an hour and a half, most of it in the middle.
MassCurve rain() {
    return {{0, 1800, 2700, 3600, 5400}, {0, 0.008, 0.030, 0.050, 0.060}};
}

struct Told {
    Field<float> depth, hours;
    StormResult storm;
    double seconds = 0;
};

Told run(const Ground& ground, std::int32_t cell) {
    const Blocks blocks{cell, cell};
    StormPlan plan = storm_plan(ground, blocks, rain());
    plan.follow_s = 3600;
    plan.loss = CurveLosses{{curve_loss(85)}, {}};
    plan.roughness = Field<float>(plan.grid.rows, plan.grid.cols, roughness);
    plan.deep.coefficient = 0.05;
    const Field<float> order = order_ties(ground.z);
    const Catchments catchments = find_catchments(ground.grid, ground.z, order);
    const Hollows hollows = find_hollows(ground.grid, ground.z, catchments);
    FineStorm fine(ground, plan, blocks, catchments, hollows, order);
    const auto begun = std::chrono::steady_clock::now();
    Told told;
    told.storm = run_storm<double>(plan, [&](const StormMoment& moment, const StackSolver<double>& solver) {
        if (cell > 1) fine.look(moment, solver);
    });
    told.seconds = std::chrono::duration<double>(std::chrono::steady_clock::now() - begun).count();
    told.depth = cell > 1 ? fine.greatest_depth(told.storm) : told.storm.greatest_depth.clone();
    told.hours = cell > 1 ? fine.deep_hours().clone() : told.storm.deep_hours.clone();
    return told;
}

void tell(std::int32_t cell, const Told& told, const Told& full, double area) {
    double wet = 0, both = 0, either = 0, depth_error = 0, hours_error = 0, depth = 0, hours = 0;
    for (std::size_t c = 0; c < told.depth.size(); ++c) {
        const bool here = told.depth[c] > inch;
        const bool there = full.depth[c] > inch;
        wet += here ? 1 : 0;
        both += here && there ? 1 : 0;
        either += here || there ? 1 : 0;
        if (!there) continue;
        depth += static_cast<double>(full.depth[c]);
        hours += static_cast<double>(full.hours[c]);
        depth_error += std::abs(static_cast<double>(told.depth[c] - full.depth[c]));
        hours_error += std::abs(static_cast<double>(told.hours[c] - full.hours[c]));
    }
    double peak = 0, when = 0;
    for (std::size_t n = 0; n < told.storm.outflow.size(); ++n) {
        if (told.storm.outflow[n] > peak) peak = told.storm.outflow[n], when = told.storm.times_s[n] / 60;
    }
    double there = 0;
    for (const float d : full.depth.all()) there += d > inch ? 1 : 0;
    const auto cells = static_cast<double>(told.storm.greatest_depth.size());
    fmt::print(
        "| {} m | {} | {:.3f} | {:.1f} | {:.1f} % | {:.0f} % | {:.1f} of {:.1f} | {:.2f} of {:.2f} | {:.4f}, "
        "{:.0f} min | {:.0f} | {:.1e} |\n",
        cell, told.storm.steps, told.storm.shortest_step_s,
        cells * static_cast<double>(told.storm.steps) / told.seconds / 1e6, 100 * wet / area,
        100 * both / either, 100 * depth_error / there, 100 * depth / there, hours_error / there,
        hours / there, peak, when, told.storm.ledger.stored, told.storm.ledger.gap());
}

}  // namespace
}  // namespace lielow

int main() {
    using namespace lielow;
    const Ground ground = farm();
    fmt::print(
        "| cells | steps | shortest, s | M cell steps/s | over an inch | same ground | depth there, error of "
        "mean, cm | "
        "hours there, error of mean | peak outflow, m³/s | stored, m³ | gap "
        "|\n|---|---|---|---|---|---|---|---|---|---|---|\n");
    std::fflush(stdout);
    const Told full = run(ground, 1);
    for (const std::int32_t cell : {1, 2, 4, 8}) {
        const Told told = cell == 1 ? Told{} : run(ground, cell);
        if (cell == 1) {
            tell(1, full, full, static_cast<double>(full.depth.size()));
        } else {
            tell(cell, told, full, static_cast<double>(full.depth.size()));
        }
        std::fflush(stdout);
    }
}
