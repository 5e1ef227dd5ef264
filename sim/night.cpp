// SPDX-License-Identifier: Apache-2.0
#include "sim/night.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

#include "sim/coldest_moment.hpp"
#include "sim/errors.hpp"
#include "sim/heat_sources.hpp"
#include "sim/night_columns.hpp"
#include "sim/night_far_field.hpp"
#include "sim/night_forcing.hpp"
#include "sim/night_mixing.hpp"
#include "sim/night_ring.hpp"
#include "sim/night_wind.hpp"
#include "sim/stack_solver.hpp"

namespace lielow {
namespace {

constexpr double gravity = 9.81;

/// Deepest pools lie this many times colder than flat land before the ladder ends.
constexpr double ladder_reserve = 1.5;

/// Thinnest gap whose conduction the column's substeps can afford, m.
constexpr double least_gap_floor = 0.05;

/// Gap floor that the conduction's step can afford and that never starts a sheet too early (K δ/floor stays
/// above q; plan_night sees to it).
double gap_floor(double mixing, double sheet_step, double loss) {
    return std::clamp(0.5 * mixing * sheet_step / loss, least_gap_floor, 0.5);
}

/// The same of mixing that follows stability.
double stirred_gap_floor(const NightSetup& s, double sheet_step, double loss) {
    const double full =
        log_linear_depth(s.calm_friction_velocity_m_s, s.wind.roughness_m, loss, s.evening_air_k, sheet_step);
    return std::clamp(0.5 * full, least_gap_floor, 0.5);
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
                  gap_floor(s.mixing_m2_s, plan.sheet_step_k, plan.peak_loss_k_m_s)};
    if (s.mixing_law == MixingLaw::stability) {
        p.exchange.law = s.mixing_law;
        p.exchange.friction_velocity = s.calm_friction_velocity_m_s;
        p.exchange.roughness = s.wind.roughness_m;
        p.exchange.gap_floor = stirred_gap_floor(s, plan.sheet_step_k, plan.peak_loss_k_m_s);
    }
    return p;
}

/// Lets the wind act on the stack and on the far field every half minute; never in a calm night.
class Gusts {
  public:
    explicit Gusts(NightWind& wind) : wind_(wind) {}
    /// When to act next, s after sunset.
    [[nodiscard]] double next() const {
        return wind_.is_calm() ? std::numeric_limits<double>::infinity() : last_ + interval;
    }
    [[nodiscard]] double longest_step(const StackSolver<float>& solver) const {
        const bool just_blown = !wind_.is_calm() && last_ > 0 && solver.time() <= last_;
        return just_blown ? std::min(solver.stable_step(), wind_.step_after(solver.grid()))
                          : solver.stable_step();
    }
    void blow(StackSolver<float>& solver, FarField& far) {
        if (wind_.is_calm()) return;
        const double span = solver.time() - last_;
        far.advance(solver.time());
        wind_.look(solver.time());
        wind_.act(solver, span);
        far.blow(span);
        last_ = solver.time();
    }

  private:
    static constexpr double interval = 30;
    NightWind& wind_;
    double last_ = 0;
};

constexpr double look_interval = 300;  ///< s, between refreshes of the loss

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

/// Share of the cells whose coldest sheet grew past the depth at which a still colder one would have
/// appeared.
double full_share(const NightResult& night) {
    const Field<float>& coldest_sheet = night.coldest_height.back();
    std::size_t full = 0;
    for (std::size_t c = 0; c < coldest_sheet.size(); ++c) {
        if (static_cast<double>(coldest_sheet[c]) * static_cast<double>(night.coldest_gradient[c]) >
            night.scale.sheet_step)
            ++full;
    }
    return static_cast<double>(full) / static_cast<double>(coldest_sheet.size());
}

void keep_state(const StackSolver<float>& solver, Field<float> gradient, const NightSurface& surface,
                NightResult& result) {
    NightState& state = result.states.emplace_back(take_state(solver));
    state.gradient = std::move(gradient);
    read_beside_raised(surface.raised, state.isotherm_height);
    read_beside_raised(surface.raised, state.gradient);
}

void take_coldest(ColdestMoment& coldest, const NightSurface& surface, NightResult& result) {
    result.coldest_height = std::move(coldest.heights());
    result.coldest_time_s = std::move(coldest.times());
    result.coldest_gradient = std::move(coldest.gradients());
    result.ladder_full_share = full_share(result);
    read_beside_raised(surface.raised, result.coldest_height);
    read_beside_raised(surface.raised, result.coldest_gradient);
}

/// The loss of the present moment, from the temperature to which the air at the ground has cooled.
void refresh_loss(StackSolver<float>& solver, const NightPlan& plan, const NightMixing& mixing,
                  NightForcing& forcing) {
    const bool constant = forcing.law().is_constant();
    Field<float> deficit(constant ? 0 : plan.grid.rows, constant ? 0 : plan.grid.cols);
    if (!constant) {
        read_columns(solver, plan.sheet_step_k, mixing, forcing.loss(),
                     [&](std::int32_t j, std::int32_t i, const float* column, const ColumnScale& scale) {
                         deficit(j, i) = static_cast<float>(deficit_at(scale, column, solver.sheets(), 0.0));
                     });
    }
    forcing.refresh(solver.time(), deficit);
    if (!constant) solver.set_loss(forcing.loss());
}

void run_observed(StackSolver<float>& solver, double time, NightObserver* observer) {
    if (observer == nullptr) {
        solver.run_until(time);
        return;
    }
    while (solver.time() < time) {
        observer->before_step(solver);
        const double dt = solver.step_towards(time);
        observer->after_step(solver, dt);
    }
}

void close_heat(const StackSolver<float>& solver, const NightSetup& s, const NightForcing& forcing,
                const NightWind& wind, const HeatSources& heat, NightResult& result) {
    const StackBudget budget = solver.budget();
    const double to_heat = s.evening_air_k / gravity;
    result.heat_in_air_k_m3 = budget.buoyancy_content * to_heat;
    result.heat_through_edges_k_m3 = budget.buoyancy_in * to_heat;
    result.heat_lost_k_m3 = forcing.booked() * solver.grid().cell_area();
    result.heat_given_k_m3 = heat.taken() * solver.grid().cell_area();
    result.heat_unused_k_m3 = heat.unused() * solver.grid().cell_area();
    result.heat_from_aloft_k_m3 = wind.booked() * solver.grid().cell_area();
    result.steps = solver.steps();
}

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
                      const NightSurface* given, const NightProgress& progress, const NightLinks& links) {
    const NightSurface none;
    const NightSurface& surface = given != nullptr ? *given : none;
    NightResult result;
    result.plan = plan;
    result.scale = {plan.sheet_step_k,
                    plan.coldest_loss_k_m_s / calm_mixing_m2_s(s, plan.coldest_loss_k_m_s)};
    result.ground = block_means(ground, plan.blocks);
    result.far_ground_m = mean_edge_elevation(result.ground);
    const Field<float> factor = loss_factor(s, plan);
    NightForcing forcing(s, result.ground, factor);
    const bool nested = links.outside != nullptr;
    StackSolver<float> solver(plan.grid, raised_ground(surface, result.ground),
                              stack_parameters(s, plan, nested ? EdgeKind::given : s.edges));
    if (nested) links.outside->lay_ground(solver);
    lay_surface(surface, solver);
    solver.set_loss(forcing.loss());
    HeatSources heat(surface.heat_w_m2, air_heat_capacity(s.evening_air_k, s.reference_elevation_m));
    NightWind wind(s, plan, result.ground);
    NightMixing mixing(s, plan, surface, wind);
    FarField far(stack_parameters(s, plan, EdgeKind::wall), forcing.law(), wind, mixing, result.far_ground_m);
    Gusts gusts(wind);
    ColdestMoment coldest(plan.grid, plan.sheets);

    double next_look = std::min(look_interval, s.duration_s);
    double next_state = std::min(s.sample_interval_s, s.duration_s);
    const auto gradient = [&] {
        return surface_gradient(solver, plan.sheet_step_k, mixing, heat.felt(forcing.loss()));
    };
    const auto record = [&] {
        if (links.record != nullptr && links.record->due(solver.time(), s.duration_s))
            links.record->record(solver, gradient());
    };
    record();
    while (solver.time() < s.duration_s) {
        mixing.stir(solver);
        far.advance(solver.time());
        solver.set_far_field(far.isotherms(), result.far_ground_m, far.growth());
        if (nested) links.outside->give(solver);
        const double stop = std::min({next_look, next_state, gusts.next(), s.duration_s});
        const double until = std::min(solver.time() + gusts.longest_step(solver), stop);
        heat.warm(solver, plan.sheet_step_k, forcing.loss(), until - solver.time());
        run_observed(solver, until, links.observer);
        if (solver.time() >= stop) gusts.blow(solver, far);
        record();
        if (solver.time() >= next_look || solver.time() >= s.duration_s) {
            coldest.update(solver, plan.sheet_step_k, s.plant_height_m, mixing, heat.felt(forcing.loss()));
            refresh_loss(solver, plan, mixing, forcing);
            far.refresh(solver.time());
            next_look += look_interval;
            if (progress && !progress(solver.time() / s.duration_s)) throw Interrupted();
        }
        if (solver.time() >= next_state || solver.time() >= s.duration_s) {
            keep_state(solver, gradient(), surface, result);
            if (links.observer != nullptr) links.observer->at_state(solver);
            next_state += s.sample_interval_s;
        }
    }
    far.advance(s.duration_s);
    result.far_field_height = far.isotherms();
    take_coldest(coldest, surface, result);
    close_heat(solver, s, forcing, wind, heat, result);
    return result;
}

}  // namespace lielow
