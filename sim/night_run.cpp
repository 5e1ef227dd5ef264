// SPDX-License-Identifier: Apache-2.0
#include "sim/night_run.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include "sim/errors.hpp"
#include "sim/night_columns.hpp"
#include "sim/night_plan.hpp"
#include "sim/night_ring.hpp"

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

/// A cut's ghosts are of no account (StackSolver::set_cuts).
Edges edges_of(const NightCells& cells, EdgeKind kind) {
    return {kind, kind, cells.cut_north ? EdgeKind::wall : kind, cells.cut_south ? EdgeKind::wall : kind};
}

StackParameters stack_parameters(const NightSetup& s, const NightPlan& plan, const Edges& edges) {
    StackParameters p;
    p.courant = night_courant;
    p.buoyancy = night_buoyancy(plan.sheets, plan.sheet_step_k, s.evening_air_k);
    p.order = s.order;
    p.edges = edges;
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
    result.ladder_full_share =
        static_cast<double>(
            full_cells(result.coldest_height.back(), result.coldest_gradient, result.scale.sheet_step)) /
        static_cast<double>(result.coldest_gradient.size());
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

/// Rows of a field; of one that says nothing, nothing.
template <class T>
Field<T> rows_of(const Field<T>& all, const RowSpan& rows) {
    if (all.empty()) return {};
    Field<T> part(rows.rows(), all.cols());
    const auto cols = static_cast<std::size_t>(all.cols());
    std::copy_n(all.data() + static_cast<std::size_t>(rows.first) * cols, part.size(), part.data());
    return part;
}

}  // namespace

std::size_t full_cells(const Field<float>& coldest_sheet, const Field<float>& gradient, double sheet_step) {
    std::size_t full = 0;
    for (std::size_t c = 0; c < coldest_sheet.size(); ++c) {
        if (static_cast<double>(coldest_sheet[c]) * static_cast<double>(gradient[c]) > sheet_step) ++full;
    }
    return full;
}

NightCells all_cells(Field<double> ground, const NightSetup& s, const NightPlan& plan) {
    NightWind wind(s, plan, ground);
    const double far_ground = mean_edge_elevation(ground);
    return {std::move(ground),  loss_factor(s, plan), std::move(wind), far_ground, false, false,
            {0, plan.grid.rows}};
}

NightCells cells_of_rows(const NightCells& all, const RowSpan& rows, const RowSpan& counted) {
    return {rows_of(all.ground, rows),
            rows_of(all.factor, rows),
            all.wind.of_rows(rows),
            all.far_ground_m,
            rows.first > 0,
            rows.last < all.ground.rows(),
            {counted.first - rows.first, counted.last - rows.first}};
}

NightSurface surface_of_rows(const NightSurface& all, const RowSpan& rows) {
    return {rows_of(all.canopy_top, rows), rows_of(all.canopy_drag, rows), rows_of(all.ground_drag, rows),
            rows_of(all.raised, rows), rows_of(all.heat_w_m2, rows)};
}

NightRun::NightRun(NightCells cells, const NightSetup& s, const NightPlan& plan, const NightSurface& surface,
                   const NightLinks& links)
    : s_(s),
      plan_(plan),
      surface_(surface),
      links_(links),
      result_(begun(cells, s, plan)),
      factor_(std::move(cells.factor)),
      forcing_(s, result_.ground, factor_),
      solver_(plan.grid, raised_ground(surface, result_.ground),
              stack_parameters(s, plan, edges_of(cells, nested() ? EdgeKind::given : s.edges))),
      heat_(surface.heat_w_m2, air_heat_capacity(s.evening_air_k, s.reference_elevation_m)),
      wind_(std::move(cells.wind)),
      mixing_(s, plan, surface, wind_),
      far_(stack_parameters(s, plan, Edges{}), forcing_.law(), wind_, mixing_, result_.far_ground_m),
      gusts_(wind_),
      coldest_(plan.grid, plan.sheets),
      next_look_(std::min(look_interval, s.duration_s)),
      next_state_(std::min(s.sample_interval_s, s.duration_s)),
      next_keep_(keep_interval) {
    solver_.set_cuts(cells.cut_north, cells.cut_south, cells.counted);
    forcing_.count(cells.counted);
    heat_.count(cells.counted);
    wind_.count(cells.counted);
    if (nested()) links_.outside->lay_ground(solver_);
    lay_surface(surface, solver_);
    solver_.set_loss(forcing_.loss());
    const bool goes_on =
        links_.keeper != nullptr && links_.keeper->restore([this](StateWalk& walk) { this->walk(walk); });
    if (!goes_on) record();
}

NightResult NightRun::begun(NightCells& cells, const NightSetup& s, const NightPlan& plan) {
    NightResult result;
    result.plan = plan;
    result.scale = {plan.sheet_step_k,
                    plan.coldest_loss_k_m_s / calm_mixing_m2_s(s, plan.coldest_loss_k_m_s)};
    result.ground = std::move(cells.ground);
    result.far_ground_m = cells.far_ground_m;
    return result;
}

Field<float> NightRun::gradient() const {
    return surface_gradient(solver_, plan_.sheet_step_k, mixing_, heat_.felt(forcing_.loss()));
}

double NightRun::stop() const {
    return std::min({next_look_, next_state_, gusts_.next(), s_.duration_s});
}

/// What lies outside and what stirs, as they are now.
void NightRun::begin_step() {
    mixing_.stir(solver_);
    far_.advance(solver_.time());
    solver_.set_far_field(far_.isotherms(), result_.far_ground_m, far_.growth());
    if (nested()) links_.outside->give(solver_);
}

void NightRun::go_on(const NightProgress& progress) {
    begin_step();
    const double stop = this->stop();
    const double longest = std::min(solver_.stable_step(), longest_after_gust());
    const double until = std::min(solver_.time() + longest, stop);
    heat_.warm(solver_, plan_.sheet_step_k, forcing_.loss(), until - solver_.time());
    if (links_.observer == nullptr) solver_.run_until(until);
    while (solver_.time() < until) {
        links_.observer->before_step(solver_);
        const double dt = solver_.step_towards(until);
        links_.observer->after_step(solver_, dt);
    }
    end_step(stop, progress);
}

void NightRun::go_on_to(double until, const NightProgress& progress) {
    begin_step();
    const double dt = until - solver_.time();
    heat_.warm(solver_, plan_.sheet_step_k, forcing_.loss(), dt);
    if (links_.observer != nullptr) links_.observer->before_step(solver_);
    solver_.step_to(until);
    if (links_.observer != nullptr) links_.observer->after_step(solver_, dt);
    end_step(stop(), progress);
}

void NightRun::end_step(double stop, const NightProgress& progress) {
    if (solver_.time() >= stop) gusts_.blow(solver_, far_);
    record();
    look(progress);
    keep();
}

NightResult NightRun::finish() {
    result_.far_field_height = far_field_at_end();
    take_coldest(coldest_, surface_, result_);
    static_cast<NightHeat&>(result_) = heat();
    result_.steps = solver_.steps();
    return std::move(result_);
}

std::vector<double> NightRun::far_field_at_end() {
    far_.advance(s_.duration_s);
    return far_.isotherms();
}

NightHeat NightRun::heat() const {
    const StackBudget budget = solver_.budget();
    const double to_heat = s_.evening_air_k / gravity;
    const double area = solver_.grid().cell_area();
    return {.heat_lost_k_m3 = forcing_.booked() * area,
            .heat_given_k_m3 = heat_.taken() * area,
            .heat_unused_k_m3 = heat_.unused() * area,
            .heat_in_air_k_m3 = budget.buoyancy_content * to_heat,
            .heat_through_edges_k_m3 = budget.buoyancy_in * to_heat,
            .heat_from_aloft_k_m3 = wind_.booked() * area};
}

void NightRun::record() {
    if (links_.record != nullptr && links_.record->due(solver_.time(), s_.duration_s))
        links_.record->record(solver_, gradient());
}

void NightRun::look(const NightProgress& progress) {
    if (looks_at(solver_.time())) {
        coldest_.update(solver_, plan_.sheet_step_k, s_.plant_height_m, mixing_, heat_.felt(forcing_.loss()));
        refresh_loss(solver_, plan_, mixing_, forcing_);
        far_.refresh(solver_.time());
        next_look_ += look_interval;
        if (progress && !progress(solver_.time() / s_.duration_s)) throw Interrupted();
    }
    if (solver_.time() >= next_state_ || is_over()) {
        if (keeps_states_) keep_state(solver_, gradient(), surface_, result_);
        if (links_.observer != nullptr) links_.observer->at_state(solver_);
        next_state_ += s_.sample_interval_s;
    }
}

void NightRun::keep() {
    if (solver_.time() < next_keep_ && !is_over()) return;
    next_keep_ += keep_interval;
    if (links_.keeper != nullptr)
        links_.keeper->keep(solver_.time(), [this](StateWalk& walk) { this->walk(walk); });
    if (links_.at_hour) links_.at_hour(result_);
}

void NightRun::walk(StateWalk& walk) {
    solver_.walk(walk);
    forcing_.walk(walk);
    heat_.walk(walk);
    wind_.walk(walk);
    mixing_.walk(walk);
    walk.apart([&] { far_.walk(walk); });
    gusts_.walk(walk);
    walk.seldom([&] { coldest_.walk(walk); });
    for (double* next : {&next_look_, &next_state_, &next_keep_}) walk.value(*next);
    walk_states(walk, result_.states);
    if (links_.record != nullptr) links_.record->walk(walk);
    if (links_.observer != nullptr) links_.observer->walk(walk);
    if (walk.restores() && walk.is_carried()) {
        solver_.set_loss(forcing_.loss());
        mixing_.hand_over(solver_);
    }
}

}  // namespace lielow
