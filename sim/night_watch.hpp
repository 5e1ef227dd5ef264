// SPDX-License-Identifier: Apache-2.0
// Looks on while a night runs, for what can't be read from its kept states: fluxes over borders, step by
// step, and the mean flow.
#pragma once

#include <vector>

#include "sim/border_flow.hpp"
#include "sim/face_flow.hpp"
#include "sim/night.hpp"

namespace lielow {

class FlowWatch final : public NightObserver {
  public:
    /// `flow_height`: m; the flow is that of the cold air up to it.
    FlowWatch(const NightPlan& plan, double flow_height, std::vector<BorderMeter> borders);

    void before_step(const StackSolver<float>& solver) override;
    void after_step(const StackSolver<float>& solver, double dt) override;
    void at_state(const StackSolver<float>& solver) override;
    void walk(StateWalk& walk) override;

    /// Mean over what was run so far.
    [[nodiscard]] FaceFlow mean() const { return mean_.mean(); }
    /// At each state the result keeps, in their order.
    [[nodiscard]] const std::vector<FaceFlow>& at_states() const { return states_; }
    [[nodiscard]] const std::vector<BorderMeter>& borders() const { return borders_; }

  private:
    void sample(const StackSolver<float>& solver);
    Grid grid_;
    double flow_height_;
    LowestAir mean_;
    double sampled_s_ = 0;
    std::vector<FaceFlow> states_;
    std::vector<BorderMeter> borders_;
};

}  // namespace lielow
