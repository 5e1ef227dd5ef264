// SPDX-License-Identifier: Apache-2.0
#include "sim/night.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <utility>

#include "sim/coldest_moment.hpp"
#include "sim/errors.hpp"
#include "sim/heat_sources.hpp"
#include "sim/night_columns.hpp"
#include "sim/night_far_field.hpp"
#include "sim/night_forcing.hpp"
#include "sim/night_mixing.hpp"
#include "sim/night_plan.hpp"
#include "sim/night_ring.hpp"
#include "sim/night_wind.hpp"
#include "sim/stack_solver.hpp"

namespace lielow {
namespace {

constexpr double gravity = 9.81;

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
    void walk(StateWalk& walk) { walk.value(last_); }

  private:
    static constexpr double interval = 30;
    NightWind& wind_;
    double last_ = 0;
};

constexpr double look_interval = 300;   ///< s, between refreshes of the loss
constexpr double keep_interval = 3600;  ///< s, between keepings; a multiple of look_interval

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

void walk_states(StateWalk& walk, std::vector<NightState>& states) {
    walk.log(states, [&walk](NightState& state) {
        walk.value(state.time_s);
        std::size_t sheets = state.isotherm_height.size();
        walk.value(sheets);
        state.isotherm_height.resize(sheets);
        for (Field<float>& height : state.isotherm_height) walk.field(height);
        for (Field<float>* field : {&state.wind_x, &state.wind_y, &state.gradient}) walk.field(*field);
    });
}

}  // namespace

/// A night under way.
class NightRun {
  public:
    NightRun(Field<double> cells, const NightSetup& s, const NightPlan& plan, const NightSurface& surface,
             const NightLinks& links)
        : s_(s),
          plan_(plan),
          surface_(surface),
          links_(links),
          result_(begun(std::move(cells), s, plan)),
          factor_(loss_factor(s, plan)),
          forcing_(s, result_.ground, factor_),
          solver_(plan.grid, raised_ground(surface, result_.ground),
                  stack_parameters(s, plan, nested() ? EdgeKind::given : s.edges)),
          heat_(surface.heat_w_m2, air_heat_capacity(s.evening_air_k, s.reference_elevation_m)),
          wind_(s, plan, result_.ground),
          mixing_(s, plan, surface, wind_),
          far_(stack_parameters(s, plan, EdgeKind::wall), forcing_.law(), wind_, mixing_,
               result_.far_ground_m),
          gusts_(wind_),
          coldest_(plan.grid, plan.sheets),
          next_look_(std::min(look_interval, s.duration_s)),
          next_state_(std::min(s.sample_interval_s, s.duration_s)) {
        if (nested()) links_.outside->lay_ground(solver_);
        lay_surface(surface, solver_);
        solver_.set_loss(forcing_.loss());
        const bool goes_on =
            links_.keeper != nullptr && links_.keeper->restore([this](StateWalk& walk) { this->walk(walk); });
        if (!goes_on) record();
    }

    [[nodiscard]] bool is_over() const { return solver_.time() >= s_.duration_s; }
    [[nodiscard]] const StackSolver<float>& solver() const { return solver_; }
    [[nodiscard]] const Field<double>& ground() const { return result_.ground; }
    void go_on(const NightProgress& progress) {
        mixing_.stir(solver_);
        far_.advance(solver_.time());
        solver_.set_far_field(far_.isotherms(), result_.far_ground_m, far_.growth());
        if (nested()) links_.outside->give(solver_);
        const double stop = std::min({next_look_, next_state_, gusts_.next(), s_.duration_s});
        const double until = std::min(solver_.time() + gusts_.longest_step(solver_), stop);
        heat_.warm(solver_, plan_.sheet_step_k, forcing_.loss(), until - solver_.time());
        run_observed(solver_, until, links_.observer);
        if (solver_.time() >= stop) gusts_.blow(solver_, far_);
        record();
        look(progress);
        keep();
    }
    NightResult finish() {
        far_.advance(s_.duration_s);
        result_.far_field_height = far_.isotherms();
        take_coldest(coldest_, surface_, result_);
        close_heat(solver_, s_, forcing_, wind_, heat_, result_);
        return std::move(result_);
    }

  private:
    static NightResult begun(Field<double> cells, const NightSetup& s, const NightPlan& plan) {
        NightResult result;
        result.plan = plan;
        result.scale = {plan.sheet_step_k,
                        plan.coldest_loss_k_m_s / calm_mixing_m2_s(s, plan.coldest_loss_k_m_s)};
        result.ground = std::move(cells);
        result.far_ground_m = mean_edge_elevation(result.ground);
        return result;
    }
    [[nodiscard]] bool nested() const { return links_.outside != nullptr; }
    [[nodiscard]] Field<float> gradient() const {
        return surface_gradient(solver_, plan_.sheet_step_k, mixing_, heat_.felt(forcing_.loss()));
    }
    void record() {
        if (links_.record != nullptr && links_.record->due(solver_.time(), s_.duration_s))
            links_.record->record(solver_, gradient());
    }
    void look(const NightProgress& progress) {
        if (solver_.time() >= next_look_ || is_over()) {
            coldest_.update(solver_, plan_.sheet_step_k, s_.plant_height_m, mixing_,
                            heat_.felt(forcing_.loss()));
            refresh_loss(solver_, plan_, mixing_, forcing_);
            far_.refresh(solver_.time());
            next_look_ += look_interval;
            if (progress && !progress(solver_.time() / s_.duration_s)) throw Interrupted();
        }
        if (solver_.time() >= next_state_ || is_over()) {
            keep_state(solver_, gradient(), surface_, result_);
            if (links_.observer != nullptr) links_.observer->at_state(solver_);
            next_state_ += s_.sample_interval_s;
        }
    }
    void keep() {
        if (solver_.time() < next_keep_ && !is_over()) return;
        next_keep_ += keep_interval;
        if (links_.keeper != nullptr)
            links_.keeper->keep(solver_.time(), [this](StateWalk& walk) { this->walk(walk); });
    }
    void walk(StateWalk& walk) {
        solver_.walk(walk);
        forcing_.walk(walk);
        heat_.walk(walk);
        wind_.walk(walk);
        mixing_.walk(walk);
        far_.walk(walk);
        gusts_.walk(walk);
        coldest_.walk(walk);
        for (double* next : {&next_look_, &next_state_, &next_keep_}) walk.value(*next);
        walk_states(walk, result_.states);
        if (links_.record != nullptr) links_.record->walk(walk);
        if (links_.observer != nullptr) links_.observer->walk(walk);
    }

    const NightSetup& s_;
    const NightPlan& plan_;
    const NightSurface& surface_;
    NightLinks links_;
    NightResult result_;
    Field<float> factor_;
    NightForcing forcing_;
    StackSolver<float> solver_;
    HeatSources heat_;
    NightWind wind_;
    NightMixing mixing_;
    FarField far_;
    Gusts gusts_;
    ColdestMoment coldest_;
    double next_look_;  ///< s after sunset, like those below
    double next_state_;
    double next_keep_ = keep_interval;
};

NightResult run_night(const Ground& ground, const NightSetup& s, const NightPlan& plan,
                      const NightSurface* given, const NightProgress& progress, const NightLinks& links) {
    return run_night(block_means(ground, plan.blocks), s, plan, given, progress, links);
}

NightResult run_night(Field<double> cells, const NightSetup& s, const NightPlan& plan,
                      const NightSurface* given, const NightProgress& progress, const NightLinks& links) {
    const NightSurface none;
    NightRun night(std::move(cells), s, plan, given != nullptr ? *given : none, links);
    while (!night.is_over()) night.go_on(progress);
    return night.finish();
}

namespace {
const NightSurface open_land;
}

NightSteps::NightSteps(const Ground& ground, const NightSetup& settings, const NightPlan& plan)
    : run_(std::make_unique<NightRun>(block_means(ground, plan.blocks), settings, plan, open_land,
                                      NightLinks{})) {}
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
