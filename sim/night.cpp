// SPDX-License-Identifier: Apache-2.0
#include "sim/night.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "sim/errors.hpp"
#include "sim/night_ring.hpp"
#include "sim/stack_solver.hpp"

namespace lielow {
namespace {

constexpr double gravity = 9.81;

/// Deepest pools lie this many times colder than flat land before the ladder ends.
constexpr double ladder_reserve = 1.5;

double loss_of(const NightSetup& s) {
    return s.heat_loss_w_m2 * cloud_factor(s.cloud) /
           air_heat_capacity(s.evening_air_k, s.reference_elevation_m);
}

/// Thinnest gap whose conduction the column's substeps can afford, m.
constexpr double least_gap_floor = 0.05;

/// Gap floor that the conduction's step can afford and that never starts a sheet too early (K δ/floor stays
/// above q; plan_night sees to it).
double gap_floor(double mixing, double sheet_step, double loss) {
    return std::clamp(0.5 * mixing * sheet_step / loss, least_gap_floor, 0.5);
}

StackParameters stack_parameters(const NightSetup& s, const NightPlan& plan, EdgeKind edges) {
    StackParameters p;
    p.courant = night_courant;
    p.buoyancy = night_buoyancy(plan.sheets, plan.sheet_step_k, s.evening_air_k);
    p.order = s.order;
    p.edges = {edges, edges, edges, edges};
    p.drag_law = DragLaw::quadratic;
    p.drag_coefficient = s.ground_drag;
    p.interface_drag = s.interface_drag;
    p.momentum_mixing = s.mixing_m2_s;
    p.exchange = {true, s.mixing_m2_s, plan.sheet_step_k,
                  gap_floor(s.mixing_m2_s, plan.sheet_step_k, plan.loss_k_m_s)};
    return p;
}

/// Level open land of the same night: one column, advanced alongside.
class FarField {
  public:
    FarField(const NightSetup& s, const NightPlan& plan)
        : solver_({1, 1, 1, 1}, Field<double>(1, 1, 0.0), stack_parameters(s, plan, EdgeKind::wall)),
          full_growth_(s.mixing_m2_s * plan.sheet_step_k / plan.loss_k_m_s) {
        solver_.set_loss(plan.loss_k_m_s);
    }
    void advance(double time) { solver_.run_until(time); }
    [[nodiscard]] std::vector<double> isotherms() const {
        std::vector<double> heights;
        for (int k = 0; k < solver_.sheets(); ++k) heights.push_back(solver_.isotherm_height(k, 0, 0));
        return heights;
    }
    /// How far the coldest sheet has grown towards the height at which the next colder one appears, 0..1.
    [[nodiscard]] double growth() const {
        double lowest = 0;
        for (int k = 0; k < solver_.sheets() && solver_.isotherm_height(k, 0, 0) > 0; ++k)
            lowest = solver_.isotherm_height(k, 0, 0);
        return std::min(1.0, lowest / full_growth_);
    }

  private:
    StackSolver<double> solver_;
    double full_growth_;
};

double mean_edge_elevation(const Field<double>& ground) {
    double sum = 0;
    for (std::int32_t j = 0; j < ground.rows(); ++j) sum += ground(j, 0) + ground(j, ground.cols() - 1);
    for (std::int32_t i = 0; i < ground.cols(); ++i) sum += ground(0, i) + ground(ground.rows() - 1, i);
    return sum / (2.0 * (ground.rows() + ground.cols()));
}

NightState take_state(const StackSolver<float>& solver) {
    const Grid& grid = solver.grid();
    NightState state;
    state.time_s = solver.time();
    for (int k = 0; k < solver.sheets(); ++k) state.isotherm_height.emplace_back(grid.rows, grid.cols);
    state.wind_x = Field<float>(grid.rows, grid.cols, 0.0F);
    state.wind_y = Field<float>(grid.rows, grid.cols, 0.0F);
    for (std::int32_t j = 0; j < grid.rows; ++j) {
        for (std::int32_t i = 0; i < grid.cols; ++i) {
            float height = 0;
            int lowest = -1;
            for (int k = solver.sheets() - 1; k >= 0; --k) {
                const float h = solver.thickness(k, j, i);
                height += h;
                if (lowest < 0 && h > 0.1F) lowest = k;
                state.isotherm_height[static_cast<std::size_t>(k)](j, i) = height;
            }
            if (lowest >= 0) {
                state.wind_x(j, i) =
                    0.5F * (solver.velocity_x(lowest, j, i) + solver.velocity_x(lowest, j, i + 1));
                state.wind_y(j, i) =
                    0.5F * (solver.velocity_y(lowest, j, i) + solver.velocity_y(lowest, j + 1, i));
            }
        }
    }
    return state;
}

/// Keeps each cell's column of the moment at which it was coldest at plant height.
class ColdestMoment {
  public:
    ColdestMoment(const Grid& grid, int sheets)
        : deficit_(grid.rows, grid.cols, -1.0F), time_(grid.rows, grid.cols, 0.0F) {
        for (int k = 0; k < sheets; ++k) height_.emplace_back(grid.rows, grid.cols, 0.0F);
    }
    void update(const StackSolver<float>& solver, const ColumnScale& scale, double plant_height) {
        const Grid& grid = solver.grid();
        const int sheets = solver.sheets();
#pragma omp parallel for schedule(static)
        for (std::int32_t j = 0; j < grid.rows; ++j) {
            float column[StackParameters::most_sheets];
            for (std::int32_t i = 0; i < grid.cols; ++i) {
                float height = 0;
                for (int k = sheets - 1; k >= 0; --k) column[k] = height += solver.thickness(k, j, i);
                const auto deficit = static_cast<float>(deficit_at(scale, column, sheets, plant_height));
                if (deficit > deficit_(j, i)) {
                    deficit_(j, i) = deficit;
                    time_(j, i) = static_cast<float>(solver.time());
                    for (int k = 0; k < sheets; ++k) height_[static_cast<std::size_t>(k)](j, i) = column[k];
                }
            }
        }
    }
    std::vector<Field<float>>& heights() {
        return height_;
    }
    Field<float>& times() {
        return time_;
    }

  private:
    Field<float> deficit_;
    Field<float> time_;
    std::vector<Field<float>> height_;
};

/// Share of the cells whose coldest sheet grew past the depth at which a still colder one would have
/// appeared.
double full_share(const Field<float>& coldest_sheet, const ColumnScale& scale) {
    const auto natural = static_cast<float>(scale.sheet_step / scale.surface_gradient);
    const auto full = std::count_if(coldest_sheet.all().begin(), coldest_sheet.all().end(),
                                    [&](float height) { return height > natural; });
    return static_cast<double>(full) / static_cast<double>(coldest_sheet.size());
}

void close_heat(const StackSolver<float>& solver, const NightSetup& s, NightResult& result) {
    const StackBudget budget = solver.budget();
    const double to_heat = s.evening_air_k / gravity;
    result.heat_in_air_k_m3 = budget.buoyancy_content * to_heat;
    result.heat_through_edges_k_m3 = budget.buoyancy_in * to_heat;
    result.heat_lost_k_m3 = result.plan.loss_k_m_s * s.duration_s *
                            static_cast<double>(solver.grid().cells()) * solver.grid().cell_area();
    result.steps = solver.steps();
}

}  // namespace

double cloud_factor(double cloud) {
    return 1.0 - 0.9 * cloud;
}

double air_heat_capacity(double temperature_k, double elevation_m) {
    constexpr double gas_constant = 287.05;
    constexpr double heat = 1005.0;
    const double pressure = 101325.0 * std::pow(1.0 - 2.25577e-5 * elevation_m, 5.25588);
    return heat * pressure / (gas_constant * temperature_k);
}

NightPlan plan_night(const Ground& ground, const NightSetup& s) {
    NightPlan plan;
    plan.loss_k_m_s = loss_of(s);
    if (!(plan.loss_k_m_s > 0))
        throw InputError("the night loses no heat: heat_loss and cloud leave nothing");
    if (!(s.duration_s > 0)) throw InputError("the night has no length");
    plan.flat_drop_k = 2 * plan.loss_k_m_s * std::sqrt(s.duration_s / (std::numbers::pi * s.mixing_m2_s));
    const double deepest = ladder_reserve * plan.flat_drop_k;
    constexpr int usual_sheets = 12;
    if (s.sheet_step_k > 0) {
        plan.sheet_step_k = s.sheet_step_k;
        plan.sheets = s.sheets > 0 ? s.sheets : static_cast<int>(std::ceil(deepest / s.sheet_step_k));
        if (plan.sheets > StackParameters::most_sheets) {
            throw InputError("night.sheet_step is too small: a drop of some " +
                             std::to_string(static_cast<int>(deepest)) + " K would need more than " +
                             std::to_string(StackParameters::most_sheets) + " sheets");
        }
    } else {
        plan.sheets = s.sheets > 0 ? s.sheets : usual_sheets;
        plan.sheet_step_k = deepest / plan.sheets;
    }

    if (s.mixing_m2_s * plan.sheet_step_k < 2 * least_gap_floor * plan.loss_k_m_s) {
        throw InputError(
            "night.sheet_step is too small for this night: sheets would be thinner than 0.1 m. "
            "Raise it, or night.mixing, or lower night.sheets");
    }

    // Work of a night: cells × sheets × steps. The fastest wave runs on the deepest pool, which holds some
    // four times the missing heat of flat land; it slows the step as the night goes on (the factor 0.85 and
    // the 4 fit nights on farm ground).
    const double wave = std::sqrt(4 * gravity / s.evening_air_k * plan.loss_k_m_s * s.duration_s);
    const auto work = [&](const Blocks& blocks) {
        const Grid grid = block_grid(ground.grid, blocks);
        const double rate = wave * std::hypot(1.0 / grid.dx, 1.0 / grid.dy);
        const double steps = 0.65 * s.duration_s * rate / night_courant;
        return static_cast<double>(grid.cells()) * plan.sheets * steps;
    };
    constexpr double finest_cell = 5.0;
    const double aimed = s.cell_m > 0 ? s.cell_m : finest_cell;
    const auto blocks_for = [&](double cell) {
        return Blocks{std::max(1, static_cast<std::int32_t>(std::lround(cell / ground.grid.dy))),
                      std::max(1, static_cast<std::int32_t>(std::lround(cell / ground.grid.dx)))};
    };
    plan.blocks = blocks_for(aimed);
    if (!(s.cell_m > 0)) {
        for (double cell = aimed; work(plan.blocks) > s.work_limit; cell *= 1.1)
            plan.blocks = blocks_for(cell);
    }
    plan.grid = block_grid(ground.grid, plan.blocks);
    plan.expected_work = work(plan.blocks);
    return plan;
}

NightResult run_night(const Ground& ground, const NightSetup& s, const NightPlan& plan,
                      const NightCanopy* canopy, const NightProgress& progress, const NightLinks& links) {
    NightResult result;
    result.plan = plan;
    result.scale = {plan.sheet_step_k, plan.loss_k_m_s / s.mixing_m2_s};
    result.ground = block_means(ground, plan.blocks);
    result.far_ground_m = mean_edge_elevation(result.ground);
    StackSolver<float> solver(
        plan.grid, result.ground,
        stack_parameters(s, plan, links.outside != nullptr ? EdgeKind::given : s.edges));
    if (links.outside != nullptr) links.outside->lay_ground(solver);
    if (links.record != nullptr) links.record->record(solver);
    solver.set_loss(plan.loss_k_m_s);
    if (canopy != nullptr) solver.set_canopy(canopy->top, canopy->drag);
    FarField far(s, plan);
    ColdestMoment coldest(plan.grid, plan.sheets);

    constexpr double look_interval = 300;
    double next_look = std::min(look_interval, s.duration_s);
    double next_state = std::min(s.sample_interval_s, s.duration_s);
    while (solver.time() < s.duration_s) {
        far.advance(solver.time());
        solver.set_far_field(far.isotherms(), result.far_ground_m, far.growth());
        if (links.outside != nullptr) links.outside->give(solver);
        solver.run_until(
            std::min({solver.time() + solver.stable_step(), next_look, next_state, s.duration_s}));
        if (links.record != nullptr && links.record->due(solver.time(), s.duration_s))
            links.record->record(solver);
        if (solver.time() >= next_look || solver.time() >= s.duration_s) {
            coldest.update(solver, result.scale, s.plant_height_m);
            next_look += look_interval;
            if (progress && !progress(solver.time() / s.duration_s)) throw Interrupted();
        }
        if (solver.time() >= next_state || solver.time() >= s.duration_s) {
            result.states.push_back(take_state(solver));
            next_state += s.sample_interval_s;
        }
    }
    far.advance(s.duration_s);
    result.far_field_height = far.isotherms();
    result.coldest_height = std::move(coldest.heights());
    result.ladder_full_share = full_share(result.coldest_height.back(), result.scale);
    result.coldest_time_s = std::move(coldest.times());
    close_heat(solver, s, result);
    return result;
}

}  // namespace lielow
