// SPDX-License-Identifier: Apache-2.0
#include "sim/stack_solver.hpp"

#include <omp.h>

#include <algorithm>
#include <cmath>
#include <string>

#include "sim/errors.hpp"

namespace lielow {
namespace {

/// What a gap as thin as the floor on calm ground mixes, m²/s.
double thin_gap_mixing(const ColumnExchange& x) {
    if (x.law == MixingLaw::uniform) return x.mixing;
    return 0.4 * x.friction_velocity * (0.5 * x.gap_floor + x.roughness);
}

const StackParameters& checked(const Grid& grid, const StackParameters& parameters) {
    validate_stack(grid, parameters);
    return parameters;
}

}  // namespace

template <class Real>
StackSolver<Real>::StackSolver(const Grid& grid, const Field<double>& ground,
                               const StackParameters& parameters)
    : grid_(grid),
      parameters_(checked(grid, parameters)),
      functions_(sweep_functions<Real>()),
      sweep_(sweep_constants<Real>(grid, parameters)),
      counted_{{0, grid.rows}} {
    const auto sheets = static_cast<std::int32_t>(parameters.buoyancy.size());
    for (auto* array : {&h_, &h_new_, &u_, &u_new_, &v_, &v_new_, &qx_, &qy_}) {
        *array = SheetArray<Real>(grid.rows, grid.cols, sheets);
    }
    if (parameters.exchange.active) rise_ = SheetArray<Real>(grid.rows, grid.cols, sheets);
    if (parameters.order == SchemeOrder::second) {
        for (auto* array : {&h_half_, &u_star_, &v_star_})
            *array = SheetArray<Real>(grid.rows, grid.cols, sheets);
    }
    constexpr std::size_t rims = 2 * SheetArray<Real>::rim;
    for (auto* present : {&present_, &present_new_})
        present->assign(static_cast<std::size_t>(grid.rows) + rims, sheets);
    edges_ = StackEdges<Real>(grid, ground, parameters);
    bed_step_x_ = bed_steps<Real>(grid, ground, parameters.edges, true);
    bed_step_y_ = bed_steps<Real>(grid, ground, parameters.edges, false);
    sweep_.bed_step_x = bed_step_x_.cells();
    sweep_.bed_step_y = bed_step_y_.cells();
    sweep_.ground_drag = replace(ground_drag_, parameters.drag_coefficient);
    sweep_.loss = replace(loss_, 0.0);
    if (parameters.exchange.active && parameters.exchange.law == MixingLaw::stability)
        set_stirring(
            Field<float>(grid.rows, grid.cols, static_cast<float>(parameters.exchange.friction_velocity)),
            Field<float>(grid.rows, grid.cols, 0.0F));
}

template <class Real>
template <class Values>
const Real* StackSolver<Real>::replace(CellPlane<Real>& plane, const Values& values) {
    plane = CellPlane<Real>(grid_, values);
    return plane.cells();
}

template <class Real>
void StackSolver<Real>::set_loss(double uniform) {
    validate_loss(uniform, parameters_.exchange);
    sweep_.loss = replace(loss_, uniform);
}
template <class Real>
void StackSolver<Real>::set_loss(const Field<float>& loss) {
    validate_loss(static_cast<double>(*std::max_element(loss.all().begin(), loss.all().end())),
                  parameters_.exchange);
    sweep_.loss = replace(loss_, loss);
}
template <class Real>
void StackSolver<Real>::set_stirring(const Field<float>& friction_velocity, const Field<float>& of_flow) {
    sweep_.stirring = replace(stirring_, friction_velocity);
    sweep_.flow_stirring = replace(flow_stirring_, of_flow);
}
template <class Real>
void StackSolver<Real>::set_source(const Field<float>& source) {
    sweep_.source = replace(source_, source);
}
template <class Real>
void StackSolver<Real>::set_ground_drag(const Field<float>& coefficient) {
    sweep_.ground_drag = replace(ground_drag_, coefficient);
}
template <class Real>
void StackSolver<Real>::set_canopy(const Field<float>& top, const Field<float>& drag) {
    sweep_.canopy_top = replace(canopy_top_, top);
    sweep_.canopy_drag = replace(canopy_drag_, drag);
}

template <class Real>
void StackSolver<Real>::set_outside_rise(Side side, std::span<const double> rise) {
    const bool along_rows = side == Side::west || side == Side::east;
    Real* face = (along_rows ? bed_step_x_ : bed_step_y_).cells();
    if (side == Side::east) face += grid_.cols;
    if (side == Side::south) face += grid_.rows * sweep_.stride;
    // Steps count along the rows and down them: upward on the way out in the east and the south.
    const double out = side == Side::east || side == Side::south ? 1.0 : -1.0;
    for (std::size_t place = 0; place < rise.size(); ++place) {
        *face = static_cast<Real>(out * rise[place]);
        face += along_rows ? sweep_.stride : 1;
    }
}

template <class Real>
Real StackSolver<Real>::isotherm_height(int sheet, std::int32_t row, std::int32_t col) const {
    Real height = 0;
    for (int k = sheets() - 1; k >= sheet; --k) height += thickness(k, row, col);
    return height;
}

template <class Real>
double StackSolver<Real>::stable_step() const {
    const SweepRates<Real> rates = rates_known_ ? rates_ : first_rates(sweep_, h_, u_, v_);
    return std::min(parameters_.longest_step, longest_step(rates, parameters_.courant, outflow_limit));
}

template <class Real>
void StackSolver<Real>::count_ghosts(const SheetArray<Real>& thickness, const Grid& grid,
                                     std::vector<int>& present) {
    constexpr std::int32_t rim = SheetArray<Real>::rim;
    const auto none = [](const Real* from, const Real* to) {
        return std::all_of(from, to, [](Real h) { return h == 0; });
    };
    for (std::int32_t j = 0; j < grid.rows; ++j) {
        int& count = present.data()[j + rim];
        for (int k = thickness.sheets() - 1; k >= count; --k) {
            const Real* row = thickness.row(j, k);
            if (!none(row - rim, row) || !none(row + grid.cols, row + grid.cols + rim)) count = k + 1;
        }
    }
}

template <class Real>
void StackSolver<Real>::point_sweeps() {
    Sweep<Real>& s = sweep_;
    s.present = present_.data() + SheetArray<Real>::rim;
    s.present_new = present_new_.data() + SheetArray<Real>::rim;
    s.h = h_.row(0);
    s.u = u_.row(0);
    s.v = v_.row(0);
    s.h_new = h_new_.row(0);
    s.u_new = u_new_.row(0);
    s.v_new = v_new_.row(0);
    s.qx = qx_.row(0);
    s.qy = qy_.row(0);
    if (s.exchange) s.rise = rise_.row(0);
    if (s.order == SchemeOrder::second) {
        s.h_half = h_half_.row(0);
        s.u_star = u_star_.row(0);
        s.v_star = v_star_.row(0);
    }
}

template <class Real>
void StackSolver<Real>::thickness_first(const Band& band) {
    if (band.first < band.last) functions_.thickness(sweep_, band.first, band.last, band.scratch);
#pragma omp barrier
#pragma omp single
    {
        count_edge_fluxes(grid_, counted_, parameters_.buoyancy, qx_, qy_, static_cast<double>(sweep_.dt),
                          crossed_);
        edges_.fill_cells(h_new_);
        count_ghosts(h_new_, grid_, present_new_);
        edges_.repeat_faces(qx_, qy_);
        if (sweep_.exchange) edges_.repeat_cells(rise_);
    }
}

template <class Real>
void StackSolver<Real>::thickness_second(const Band& band) {
    const auto stage = [&](StageSweep<Real> sweep) {
        if (band.first < band.last) sweep(sweep_, band.first, band.last, band.scratch);
#pragma omp barrier
    };
    stage(functions_.half_step);
#pragma omp single
    {
        edges_.fill_cells(h_half_);
        edges_.fill_faces(h_half_, u_, v_);
    }
    stage(functions_.fluxes);
    stage(functions_.payable);
#pragma omp single
    edges_.set_ghost_cells(h_half_, Real(1));
    stage(functions_.pay);
    stage(functions_.update);
#pragma omp single
    {
        count_edge_fluxes(grid_, counted_, parameters_.buoyancy, qx_, qy_, static_cast<double>(sweep_.dt),
                          crossed_);
        edges_.fill_cells(h_new_);
        count_ghosts(h_new_, grid_, present_new_);
        edges_.fill_faces(h_new_, u_star_, v_star_);
        edges_.repeat_velocities(u_star_, v_star_);
        edges_.repeat_faces(qx_, qy_);
        if (sweep_.exchange) edges_.repeat_cells(rise_);
    }
}

template <class Real>
SweepRates<Real> StackSolver<Real>::sweep_bands(void (StackSolver::*thickness)(const Band&)) {
    SweepRates<Real> rates;
    const Sweep<Real>& s = sweep_;
    // One thread when there is too little to share.
    const bool share = grid_.cells() * static_cast<std::size_t>(s.sheets) > 20000;
    scratch_.resize(static_cast<std::size_t>(share ? omp_get_max_threads() : 1));
#pragma omp parallel if (share)
    {
        const int threads = omp_get_num_threads();
        const int me = omp_get_thread_num();
        auto& scratch = scratch_[static_cast<std::size_t>(me)];
        if (!scratch)
            scratch =
                std::make_unique<Real[]>(static_cast<std::size_t>(sweep_scratch(s.row_stride, s.stride)));
        const auto band_of = [&](const RowSpan& rows) {
            const auto end = [&](std::int64_t parts) {
                return rows.first + static_cast<int>(rows.rows() * parts / threads);
            };
            return Band{end(me), end(me + 1), scratch.get()};
        };
        if (thickness != nullptr) (this->*thickness)(band_of(rows_of_thickness()));
        SweepRates<Real> mine;
        const Band band = band_of(rows_of_velocity());
        if (band.first < band.last) functions_.velocity(s, band.first, band.last, band.scratch, mine);
#pragma omp critical
        {
            rates.courant_x = std::max(rates.courant_x, mine.courant_x);
            rates.courant_y = std::max(rates.courant_y, mine.courant_y);
            rates.outflow_x = std::max(rates.outflow_x, mine.outflow_x);
            rates.outflow_y = std::max(rates.outflow_y, mine.outflow_y);
            rates.poison += mine.poison;
        }
    }
    return rates;
}

template <class Real>
void StackSolver<Real>::start_velocities(double dt) {
    // Half a step's pull, so that the velocities stand ahead of the thicknesses by half a step.
    Sweep<Real>& s = sweep_;
    point_sweeps();
    s.h_new = h_.row(0);
    s.present_new = present_.data() + SheetArray<Real>::rim;
    s.u_star = u_.row(0);
    s.v_star = v_.row(0);
    s.h_half = h_.row(0);
    s.dt = s.dt_velocity = static_cast<Real>(0.5 * dt);
    functions_.fluxes(s, 0, s.rows, nullptr);
    edges_.repeat_faces(qx_, qy_);
    sweep_bands(nullptr);
    std::swap(u_, u_star_);
    std::swap(v_, v_star_);
    std::swap(u_, u_new_);
    std::swap(v_, v_new_);
    lead_ = last_pull_ = 0.5 * dt;
    edges_.fill_faces(h_, u_, v_);
    edges_.repeat_velocities(u_, v_);
}

template <class Real>
void StackSolver<Real>::fill_ghosts() {
    edges_.fill_cells(h_);
    count_ghosts(h_, grid_, present_);
    edges_.fill_faces(h_, u_, v_);
    edges_.repeat_velocities(u_, v_);
}

template <class Real>
double StackSolver<Real>::step(double at_most) {
    fill_ghosts();
    constexpr double rounding = 1e-5;  // what step_towards may ask beyond the stable step
    const double dt = std::min(stable_step() * (1 + rounding), at_most);
    if (at_most > 0 && !(time_ + dt > time_)) {
        throw RunError("the flow became too fast to follow after " + std::to_string(time_) +
                       " s of simulated time; please report this site");
    }
    advance(dt);
    return dt;
}

template <class Real>
void StackSolver<Real>::advance(double dt) {
    Sweep<Real>& s = sweep_;
    const auto& x = parameters_.exchange;
    if (s.exchange) {
        s.substeps = std::max(
            1, static_cast<int>(std::ceil(4.0 * thin_gap_mixing(x) * dt / (x.gap_floor * x.gap_floor))));
    }
    const bool second = s.order == SchemeOrder::second;
    if (second && steps_ == 0) start_velocities(dt);
    point_sweeps();
    double pull = dt;
    if (second) {
        pull = std::clamp(1.5 * dt - lead_, 0.0, 1.25 * dt);
        s.extrapolation = static_cast<Real>(std::clamp((dt - lead_) / last_pull_, 0.0, 1.0));
        lead_ += pull - dt;
        if (pull > 0) last_pull_ = pull;
    }
    s.dt = static_cast<Real>(dt);
    s.dt_velocity = static_cast<Real>(pull);
    rates_ = sweep_bands(second ? &StackSolver::thickness_second : &StackSolver::thickness_first);
    rates_known_ = true;
    std::swap(h_, h_new_);
    std::swap(present_, present_new_);
    std::swap(u_, u_new_);
    std::swap(v_, v_new_);
    if (second) {  // The velocities just left become the older ones of the next extrapolation.
        std::swap(u_new_, u_star_);
        std::swap(v_new_, v_star_);
    }
    if (!std::isfinite(static_cast<double>(rates_.poison))) {
        throw RunError("the flow became not-a-number after " + std::to_string(time_) +
                       " s of simulated time; please report this site");
    }
    if (cut_north_ || cut_south_) ++behind_;
    time_ += dt;
    ++steps_;
}

template <class Real>
double StackSolver<Real>::step_towards(double time) {
    // Equal steps up to the end: a last short one would throw the velocities' half-step lead out of measure.
    constexpr double rounding = 1e-6;
    const double left = time - time_;
    const double steps = std::max(1.0, std::ceil(left / stable_step() - rounding));
    const double asked = left / steps;
    const double dt = step(asked);  // shorter where the ghost cells, filled only now, ask for it
    if (steps <= 1 && dt >= asked) time_ = time;
    return dt;
}

template <class Real>
void StackSolver<Real>::run_until(double time) {
    while (time_ < time) step_towards(time);
}

template <class Real>
StackBudget StackSolver<Real>::budget() const {
    StackBudget budget = crossed_;
    count_content(grid_, counted_.rows, parameters_.buoyancy, h_, budget);
    return budget;
}

template class StackSolver<float>;
template class StackSolver<double>;

}  // namespace lielow
