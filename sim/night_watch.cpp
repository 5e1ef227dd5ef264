// SPDX-License-Identifier: Apache-2.0
#include "sim/night_watch.hpp"

#include <utility>

namespace lielow {
namespace {

constexpr double sample_interval_s = 120;

}  // namespace

FlowWatch::FlowWatch(const NightPlan& plan, double flow_height, std::vector<BorderMeter> borders)
    : grid_(plan.grid),
      flow_height_(flow_height),
      mean_(plan.grid, flow_height),
      borders_(std::move(borders)) {}

void FlowWatch::before_step(const StackSolver<float>& solver) {
    for (BorderMeter& border : borders_) border.before_step(solver);
}

void FlowWatch::after_step(const StackSolver<float>& solver, double dt) {
    for (BorderMeter& border : borders_) border.after_step(dt);
    if (solver.time() >= sampled_s_ + sample_interval_s) sample(solver);
}

void FlowWatch::at_state(const StackSolver<float>& solver) {
    sample(solver);
    LowestAir now(grid_, flow_height_);
    now.add(solver, 1);
    states_.push_back(now.mean());
    for (BorderMeter& border : borders_) border.count_content(solver);
}

void FlowWatch::walk(StateWalk& walk) {
    mean_.walk(walk);
    walk.value(sampled_s_);
    walk.log(states_, [&walk](FaceFlow& flow) {
        walk.value(flow.grid);
        walk.field(flow.u);
        walk.field(flow.v);
    });
    for (BorderMeter& border : borders_) border.walk(walk);
}

void FlowWatch::sample(const StackSolver<float>& solver) {
    mean_.add(solver, solver.time() - sampled_s_);
    sampled_s_ = solver.time();
}

}  // namespace lielow
