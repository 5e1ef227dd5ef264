// SPDX-License-Identifier: Apache-2.0
#include "sim/stack_solver.hpp"

#include <omp.h>

#include <algorithm>
#include <cmath>
#include <string>

#include "sim/errors.hpp"

namespace lielow {
namespace {

/// A rise of the bed that no sheet climbs: closes an edge.
constexpr double wall_height = 1e6;

/// Share of a cell that may flow out in one step; below 1 so that thickness can't turn negative.
constexpr double outflow_limit = 0.95;

void validate(const Grid& grid, const StackParameters& p) {
    const auto refuse = [](const std::string& what) { throw InputError("stack of sheets: " + what); };
    if (grid.rows < 1 || grid.cols < 1 || !(grid.dx > 0) || !(grid.dy > 0)) refuse("the grid is empty");
    if (p.buoyancy.empty()) refuse("no sheets");
    if (p.buoyancy.size() > static_cast<std::size_t>(StackParameters::most_sheets)) {
        refuse("at most " + std::to_string(StackParameters::most_sheets) + " sheets");
    }
    double previous = 0;
    for (const double b : p.buoyancy) {
        if (!(b > previous)) refuse("buoyancy must rise from sheet to sheet");
        previous = b;
    }
    if (!(p.courant > 0) || p.courant > 1) refuse("courant must lie in (0, 1]");
    if (p.exchange.active &&
        !(p.exchange.mixing > 0 && p.exchange.sheet_step > 0 && p.exchange.gap_floor > 0)) {
        refuse("mixing, sheet step and gap floor must be positive");
    }
}

/// A loss that the thinnest gap can't conduct would lift the coldest isotherm past the next one and make
/// heat.
void validate_loss(double most, const ColumnExchange& x) {
    if (x.active && !(most * x.gap_floor <= x.mixing * x.sheet_step)) {
        throw InputError("stack of sheets: the loss must not exceed mixing * sheet step / gap floor");
    }
}

}  // namespace

template <class Real>
StackSolver<Real>::StackSolver(const Grid& grid, const Field<double>& ground,
                               const StackParameters& parameters)
    : grid_(grid), parameters_(parameters), functions_(sweep_functions<Real>()) {
    validate(grid, parameters);
    const auto sheets = static_cast<std::int32_t>(parameters.buoyancy.size());
    for (auto* array : {&h_, &h_new_, &u_, &u_new_, &v_, &v_new_, &qx_, &qy_}) {
        *array = SheetArray<Real>(grid.rows, grid.cols, sheets);
    }
    if (parameters.exchange.active) rise_ = SheetArray<Real>(grid.rows, grid.cols, sheets);
    if (parameters.order == SchemeOrder::second) {
        for (auto* array : {&h_half_, &u_star_, &v_star_})
            *array = SheetArray<Real>(grid.rows, grid.cols, sheets);
    }
    for (auto* present : {&present_, &present_new_})
        present->assign(static_cast<std::size_t>(grid.rows + 2 * SheetArray<Real>::rim), sheets);
    edges_ = StackEdges<Real>(grid, ground, parameters);

    Sweep<Real>& s = sweep_;
    s.rows = grid.rows;
    s.cols = grid.cols;
    s.sheets = sheets;
    s.order = parameters.order;
    s.stride = h_.stride();
    s.row_stride = h_.row_stride();
    plane_size_ = s.stride * (grid.rows + 2 * SheetArray<Real>::rim);
    for (int k = 0; k < sheets; ++k) {
        s.buoyancy[k] = static_cast<Real>(parameters.buoyancy[static_cast<std::size_t>(k)]);
        s.inverse_buoyancy[k] = static_cast<Real>(1.0 / parameters.buoyancy[static_cast<std::size_t>(k)]);
    }
    s.inverse_dx = static_cast<Real>(1.0 / grid.dx);
    s.inverse_dy = static_cast<Real>(1.0 / grid.dy);
    const double x = grid.cols > 1 ? 1.0 / grid.dx : 0.0;
    const double y = grid.rows > 1 ? 1.0 / grid.dy : 0.0;
    s.wave_factor = static_cast<Real>(std::sqrt(x * x + y * y));
    s.exchange = parameters.exchange.active;
    s.mixing = static_cast<Real>(parameters.exchange.mixing);
    s.sheet_step = static_cast<Real>(parameters.exchange.sheet_step);
    s.gap_floor = static_cast<Real>(parameters.exchange.gap_floor);
    s.drag_law = parameters.drag_law;
    s.drag_height = static_cast<Real>(parameters.drag_height);
    s.interface_drag = static_cast<Real>(parameters.interface_drag);
    s.momentum_mixing = static_cast<Real>(parameters.momentum_mixing);
    s.wind_x = static_cast<Real>(parameters.wind_x);
    s.wind_y = static_cast<Real>(parameters.wind_y);
    s.ground_drag = plane(ground_drag_, parameters.drag_coefficient);
    s.loss = plane(loss_, 0.0);

    Real* step_x = plane(bed_step_x_, 0.0);
    Real* step_y = plane(bed_step_y_, 0.0);
    const Edges& e = parameters.edges;
    for (std::int32_t j = 0; j < grid.rows; ++j) {
        Real* row = step_x + j * s.stride;
        for (std::int32_t i = 1; i < grid.cols; ++i)
            row[i] = static_cast<Real>(ground(j, i) - ground(j, i - 1));
        if (e.west == EdgeKind::wall) row[0] = static_cast<Real>(-wall_height);
        if (e.east == EdgeKind::wall) row[grid.cols] = static_cast<Real>(wall_height);
    }
    for (std::int32_t i = 0; i < grid.cols; ++i) {
        for (std::int32_t j = 1; j < grid.rows; ++j) {
            step_y[j * s.stride + i] = static_cast<Real>(ground(j, i) - ground(j - 1, i));
        }
        if (e.north == EdgeKind::wall) step_y[i] = static_cast<Real>(-wall_height);
        if (e.south == EdgeKind::wall) step_y[grid.rows * s.stride + i] = static_cast<Real>(wall_height);
    }
    s.bed_step_x = step_x;
    s.bed_step_y = step_y;
}

template <class Real>
Real* StackSolver<Real>::plane(std::unique_ptr<Real[]>& storage, double value) {
    if (!storage) storage = std::make_unique_for_overwrite<Real[]>(static_cast<std::size_t>(plane_size_));
    std::fill_n(storage.get(), plane_size_, static_cast<Real>(value));
    return storage.get() + SheetArray<Real>::rim * sweep_.stride + SheetArray<Real>::lead();
}

template <class Real>
void StackSolver<Real>::load_plane(Real* plane, const Field<float>& values) {
    // The rim repeats the outermost cells, so that edge faces see their own cell's value.
    for (std::int32_t j = -1; j <= grid_.rows; ++j) {
        const std::int32_t row = std::clamp(j, 0, grid_.rows - 1);
        for (std::int32_t i = -1; i <= grid_.cols; ++i) {
            plane[j * sweep_.stride + i] = static_cast<Real>(values(row, std::clamp(i, 0, grid_.cols - 1)));
        }
    }
}

template <class Real>
void StackSolver<Real>::set_loss(double uniform) {
    validate_loss(uniform, parameters_.exchange);
    sweep_.loss = plane(loss_, uniform);
}
template <class Real>
void StackSolver<Real>::set_loss(const Field<float>& loss) {
    validate_loss(static_cast<double>(*std::max_element(loss.all().begin(), loss.all().end())),
                  parameters_.exchange);
    Real* p = plane(loss_, 0.0);
    load_plane(p, loss);
    sweep_.loss = p;
}
template <class Real>
void StackSolver<Real>::set_source(const Field<float>& source) {
    Real* p = plane(source_, 0.0);
    load_plane(p, source);
    sweep_.source = p;
}
template <class Real>
void StackSolver<Real>::set_ground_drag(const Field<float>& coefficient) {
    Real* p = plane(ground_drag_, 0.0);
    load_plane(p, coefficient);
    sweep_.ground_drag = p;
}
template <class Real>
void StackSolver<Real>::set_canopy(const Field<float>& top, const Field<float>& drag) {
    Real* t = plane(canopy_top_, 0.0);
    Real* d = plane(canopy_drag_, 0.0);
    load_plane(t, top);
    load_plane(d, drag);
    sweep_.canopy_top = t;
    sweep_.canopy_drag = d;
}

template <class Real>
Real StackSolver<Real>::isotherm_height(int sheet, std::int32_t row, std::int32_t col) const {
    Real height = 0;
    for (int k = sheets() - 1; k >= sheet; --k) height += thickness(k, row, col);
    return height;
}

template <class Real>
void StackSolver<Real>::count_edge_fluxes() {
    const std::int32_t rows = grid_.rows;
    const std::int32_t cols = grid_.cols;
    const double dt = static_cast<double>(sweep_.dt);
    for (int k = 0; k < sheets(); ++k) {
        double in = 0;
        for (std::int32_t j = 0; j < rows; ++j) {
            in +=
                (static_cast<double>(qx_.row(j, k)[0]) - static_cast<double>(qx_.row(j, k)[cols])) * grid_.dy;
        }
        for (std::int32_t i = 0; i < cols; ++i) {
            in +=
                (static_cast<double>(qy_.row(0, k)[i]) - static_cast<double>(qy_.row(rows, k)[i])) * grid_.dx;
        }
        volume_in_ += in * dt;
        buoyancy_in_ += in * dt * parameters_.buoyancy[static_cast<std::size_t>(k)];
    }
}

template <class Real>
double StackSolver<Real>::stable_step() const {
    double rate = static_cast<double>(rates_.courant_x) + static_cast<double>(rates_.courant_y);
    double outflow = static_cast<double>(rates_.outflow_x) + static_cast<double>(rates_.outflow_y);
    if (!rates_known_) {
        rate = outflow = 0;
        double fastest_x = 0;
        double fastest_y = 0;
        double weight = 0;
        for (std::int32_t j = 0; j <= grid_.rows; ++j) {
            for (std::int32_t i = 0; i <= grid_.cols; ++i) {
                double cell = 0;
                for (int k = 0; k < sheets(); ++k) {
                    const double b = parameters_.buoyancy[static_cast<std::size_t>(k)];
                    if (j < grid_.rows && i < grid_.cols) cell += b * static_cast<double>(h_.row(j, k)[i]);
                    if (j < grid_.rows)
                        fastest_x = std::max(fastest_x, std::abs(static_cast<double>(u_.row(j, k)[i])));
                    if (i < grid_.cols)
                        fastest_y = std::max(fastest_y, std::abs(static_cast<double>(v_.row(j, k)[i])));
                }
                weight = std::max(weight, cell);
            }
        }
        outflow = fastest_x / grid_.dx + fastest_y / grid_.dy;
        rate = outflow + std::sqrt(weight) * static_cast<double>(sweep_.wave_factor);
    }
    double dt = parameters_.longest_step;
    if (rate > 0) dt = std::min(dt, parameters_.courant / rate);
    if (outflow > 0) dt = std::min(dt, 0.5 * outflow_limit / outflow);
    return dt;
}

template <class Real>
void StackSolver<Real>::count_ghosts(const SheetArray<Real>& thickness, const Grid& grid,
                                     std::vector<int>& present) {
    constexpr std::int32_t rim = SheetArray<Real>::rim;
    const auto none = [](const Real* from, const Real* to) {
        return std::all_of(from, to, [](Real h) { return h == 0; });
    };
    for (std::int32_t j = 0; j < grid.rows; ++j) {
        int& count = present[static_cast<std::size_t>(j + rim)];
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
        count_edge_fluxes();
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
    edges_.fill_cells(h_half_);
    stage(functions_.fluxes);
    stage(functions_.payable);
#pragma omp single
    edges_.set_ghost_cells(h_half_, Real(1));
    stage(functions_.pay);
    stage(functions_.update);
#pragma omp single
    {
        count_edge_fluxes();
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
        const Band band{static_cast<int>(static_cast<std::int64_t>(s.rows) * me / threads),
                        static_cast<int>(static_cast<std::int64_t>(s.rows) * (me + 1) / threads),
                        scratch.get()};
        if (thickness != nullptr) (this->*thickness)(band);
        SweepRates<Real> mine;
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
double StackSolver<Real>::step(double at_most) {
    constexpr double rounding = 1e-5;  // what step_towards may ask beyond the stable step
    const double dt = std::min(stable_step() * (1 + rounding), at_most);
    if (at_most > 0 && !(time_ + dt > time_)) {
        throw RunError("the flow became too fast to follow after " + std::to_string(time_) +
                       " s of simulated time; please report this site");
    }
    Sweep<Real>& s = sweep_;
    const auto& x = parameters_.exchange;
    if (s.exchange) {
        s.substeps =
            std::max(1, static_cast<int>(std::ceil(4.0 * x.mixing * dt / (x.gap_floor * x.gap_floor))));
    }
    edges_.fill_cells(h_);
    count_ghosts(h_, grid_, present_);
    edges_.fill_faces(h_, u_, v_);
    edges_.repeat_velocities(u_, v_);
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
    time_ += dt;
    ++steps_;
    return dt;
}

template <class Real>
double StackSolver<Real>::step_towards(double time) {
    // Equal steps up to the end: a last short one would throw the velocities' half-step lead out of measure.
    constexpr double rounding = 1e-6;
    const double left = time - time_;
    const double steps = std::max(1.0, std::ceil(left / stable_step() - rounding));
    const double dt = step(left / steps);
    if (steps <= 1) time_ = time;
    return dt;
}

template <class Real>
void StackSolver<Real>::run_until(double time) {
    while (time_ < time) step_towards(time);
}

template <class Real>
StackBudget StackSolver<Real>::budget() const {
    StackBudget b;
    for (int k = 0; k < sheets(); ++k) {
        double sum = 0;
        for (std::int32_t j = 0; j < grid_.rows; ++j) {
            const Real* row = h_.row(j, k);
            double line = 0;
            for (std::int32_t i = 0; i < grid_.cols; ++i) line += static_cast<double>(row[i]);
            sum += line;
        }
        b.volume += sum * grid_.cell_area();
        b.buoyancy_content += sum * grid_.cell_area() * parameters_.buoyancy[static_cast<std::size_t>(k)];
    }
    b.volume_in = volume_in_;
    b.buoyancy_in = buoyancy_in_;
    return b;
}

template class StackSolver<float>;
template class StackSolver<double>;

}  // namespace lielow
