// SPDX-License-Identifier: Apache-2.0
// How finely a night is solved: sheets, cells and what they cost.
#include "sim/night_plan.hpp"

#include <algorithm>
#include <cmath>
#include <string>

#include "sim/errors.hpp"
#include "sim/night_forcing.hpp"
#include "sim/night_mixing.hpp"

namespace lielow {
namespace {

constexpr double gravity = 9.81;

/// Deepest pools lie this many times colder than flat land before the ladder ends.
constexpr double ladder_reserve = 1.5;

/// Number of sheets and the step between them, as given, or else so that they span half as much again as flat
/// ground cools and none is thinner than the floor lets it be.
void choose_sheets(const NightSetup& s, NightPlan& plan) {
    const double deepest = ladder_reserve * plan.flat_drop_k;
    const double least_step =
        2 * least_gap_floor * plan.peak_loss_k_m_s / calm_mixing_m2_s(s, plan.peak_loss_k_m_s);
    if (s.sheet_step_k > 0) {
        plan.sheet_step_k = s.sheet_step_k;
        plan.sheets = s.sheets > 0 ? s.sheets : static_cast<int>(std::ceil(deepest / s.sheet_step_k));
        if (plan.sheets > StackParameters::most_sheets) {
            throw InputError("night.sheet_step is too small: a drop of some " +
                             std::to_string(static_cast<int>(deepest)) + " K would need more than " +
                             std::to_string(StackParameters::most_sheets) + " sheets");
        }
    } else {
        // docs/verification.md, "What the night's own choices move"
        constexpr int usual_sheets = 24;
        const int most = static_cast<int>(std::min<double>(usual_sheets, deepest / least_step));
        plan.sheets = s.sheets > 0 ? s.sheets : std::max(1, most);
        plan.sheet_step_k = deepest / plan.sheets;
    }
    if (plan.sheet_step_k < least_step) {
        throw InputError(
            "night.sheet_step is too small for this night: sheets would be thinner than 0.1 m. "
            "Raise it, or night.mixing, or lower night.sheets");
    }
}

}  // namespace

double air_heat_capacity(double temperature_k, double elevation_m) {
    constexpr double gas_constant = 287.05;
    constexpr double heat = 1005.0;
    const double pressure = 101325.0 * std::pow(1.0 - 2.25577e-5 * elevation_m, 5.25588);
    return heat * pressure / (gas_constant * temperature_k);
}

NightPlan plan_night(const Ground& ground, const NightSetup& s) {
    return plan_night(ground.grid, s);
}

NightPlan plan_night(const Grid& fine, const NightSetup& s) {
    NightPlan plan;
    if (!(s.duration_s > 0)) throw InputError("the night has no length");
    const FlatNight flat = flat_night(s);
    plan.loss_k_m_s = flat.mean_loss_k_m_s;
    plan.peak_loss_k_m_s = flat.peak_loss_k_m_s;
    plan.coldest_loss_k_m_s = flat.coldest_loss_k_m_s;
    plan.flat_drop_k = flat.drop_k;
    if (!(plan.loss_k_m_s > 0))
        throw InputError("the night loses no heat: heat_loss, dew and cloud leave nothing");
    choose_sheets(s, plan);

    // Work of a night: cells × sheets × steps. The fastest wave runs on the deepest pool, which holds some
    // four times the missing heat of flat land; it slows the step as the night goes on (the factor 0.85 and
    // the 4 fit nights on farm ground).
    const double wave = std::sqrt(4 * gravity / s.evening_air_k * plan.loss_k_m_s * s.duration_s);
    const auto work = [&](const Blocks& blocks) {
        const Grid grid = block_grid(fine, blocks);
        const double rate = wave * std::hypot(1.0 / grid.dx, 1.0 / grid.dy);
        const double steps = 0.65 * s.duration_s * rate / night_courant;
        return static_cast<double>(grid.cells()) * plan.sheets * steps;
    };
    constexpr double finest_cell = 5.0;
    const double aimed = s.cell_m > 0 ? s.cell_m : finest_cell;
    const auto blocks_for = [&](double cell) {
        return Blocks{std::max(1, static_cast<std::int32_t>(std::lround(cell / fine.dy))),
                      std::max(1, static_cast<std::int32_t>(std::lround(cell / fine.dx)))};
    };
    plan.blocks = blocks_for(aimed);
    if (!(s.cell_m > 0)) {
        for (double cell = aimed; work(plan.blocks) > s.work_limit; cell *= 1.1)
            plan.blocks = blocks_for(cell);
    }
    plan.grid = block_grid(fine, plan.blocks);
    plan.expected_work = work(plan.blocks);
    return plan;
}

}  // namespace lielow
