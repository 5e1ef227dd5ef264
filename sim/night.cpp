// SPDX-License-Identifier: Apache-2.0
#include "sim/night.hpp"

#include <utility>

#include "sim/night_run.hpp"

namespace lielow {

NightResult run_night(const Ground& ground, const NightSetup& s, const NightPlan& plan,
                      const NightSurface* given, const NightProgress& progress, const NightLinks& links) {
    return run_night(block_means(ground, plan.blocks), s, plan, given, progress, links);
}

NightResult run_night(Field<double> cells, const NightSetup& s, const NightPlan& plan,
                      const NightSurface* given, const NightProgress& progress, const NightLinks& links) {
    const NightSurface none;
    NightRun night(all_cells(std::move(cells), s, plan), s, plan, given != nullptr ? *given : none, links);
    if (links.step_ends != nullptr) {
        for (const double end : *links.step_ends) night.go_on_to(end, progress);
    }
    while (!night.is_over()) night.go_on(progress);
    return night.finish();
}

namespace {
const NightSurface open_land;
}

NightSteps::NightSteps(const Ground& ground, const NightSetup& settings, const NightPlan& plan)
    : run_(std::make_unique<NightRun>(all_cells(block_means(ground, plan.blocks), settings, plan), settings,
                                      plan, open_land, NightLinks{})) {}
NightSteps::~NightSteps() = default;
bool NightSteps::is_over() const {
    return run_->is_over();
}
void NightSteps::step() {
    run_->go_on({});
}
const StackSolver<float>& NightSteps::solver() const {
    return run_->solver();
}
const Field<double>& NightSteps::ground() const {
    return run_->ground();
}
NightResult NightSteps::finish() {
    return run_->finish();
}

}  // namespace lielow
