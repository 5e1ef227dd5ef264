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
    far_field_.assign(static_cast<std::size_t>(sheets), 0.0);

    Sweep<Real>& s = sweep_;
    s.rows = grid.rows;
    s.cols = grid.cols;
    s.sheets = sheets;
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

    for (std::int32_t j = 0; j < grid.rows; ++j) {
        west_ground_.push_back(ground(j, 0));
        east_ground_.push_back(ground(j, grid.cols - 1));
    }
    for (std::int32_t i = 0; i < grid.cols; ++i) {
        north_ground_.push_back(ground(0, i));
        south_ground_.push_back(ground(grid.rows - 1, i));
    }

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
void StackSolver<Real>::set_far_field(std::span<const double> isotherm_height, double elevation,
                                      double fill) {
    for (std::size_t k = 0; k < far_field_.size(); ++k)
        far_field_[k] = k < isotherm_height.size() ? isotherm_height[k] : 0;
    far_elevation_ = elevation;
    far_fill_ = fill;
}

template <class Real>
Real StackSolver<Real>::isotherm_height(int sheet, std::int32_t row, std::int32_t col) const {
    Real height = 0;
    for (int k = sheets() - 1; k >= sheet; --k) height += thickness(k, row, col);
    return height;
}

template <class Real>
void StackSolver<Real>::fill_ghost_column(EdgeKind kind, double ground, const Real* edge, Real* ghost) const {
    const std::ptrdiff_t n = sweep_.stride;
    const double rise = ground - far_elevation_;
    double below = 0;
    bool lowest = true;
    for (int k = sheets() - 1; k >= 0; --k) {
        if (kind != EdgeKind::far_field) {
            ghost[k * n] = kind == EdgeKind::open ? edge[k * n] : Real(0);
            continue;
        }
        double height = far_field_[static_cast<std::size_t>(k)];
        if (height > 0) {
            height = std::max(0.0, height - rise * (lowest && rise < 0 ? far_fill_ : 1.0));
            lowest = false;
        }
        ghost[k * n] = static_cast<Real>(std::max(0.0, height - below));
        below = std::max(below, height);
    }
}

template <class Real>
void StackSolver<Real>::fill_ghost_cells(SheetArray<Real>& h) {
    const Edges& e = parameters_.edges;
    const std::int32_t rows = grid_.rows;
    const std::int32_t cols = grid_.cols;
    for (std::int32_t j = 0; j < rows; ++j) {
        const auto r = static_cast<std::size_t>(j);
        fill_ghost_column(e.west, west_ground_[r], h.row(j), h.row(j) - 1);
        fill_ghost_column(e.east, east_ground_[r], h.row(j) + cols - 1, h.row(j) + cols);
    }
    for (std::int32_t i = 0; i < cols; ++i) {
        const auto c = static_cast<std::size_t>(i);
        fill_ghost_column(e.north, north_ground_[c], h.row(0) + i, h.row(-1) + i);
        fill_ghost_column(e.south, south_ground_[c], h.row(rows - 1) + i, h.row(rows) + i);
    }
}

template <class Real>
void StackSolver<Real>::open_edges() {
    const Edges& e = parameters_.edges;
    const std::int32_t rows = grid_.rows;
    const std::int32_t cols = grid_.cols;
    for (int k = 0; k < sheets(); ++k) {
        for (std::int32_t j = 0; j < rows; ++j) {
            Real* u = u_.row(j, k);
            if (e.west == EdgeKind::open) u[0] = std::min(u[cols > 1 ? 1 : 0], Real(0));
            if (e.east == EdgeKind::open) u[cols] = std::max(u[cols > 1 ? cols - 1 : cols], Real(0));
        }
        for (std::int32_t i = 0; i < cols; ++i) {
            if (e.north == EdgeKind::open)
                v_.row(0, k)[i] = std::min(v_.row(rows > 1 ? 1 : 0, k)[i], Real(0));
            if (e.south == EdgeKind::open)
                v_.row(rows, k)[i] = std::max(v_.row(rows > 1 ? rows - 1 : rows, k)[i], Real(0));
        }
    }
}

template <class Real>
void StackSolver<Real>::copy_ghost_faces() {
    const std::int32_t rows = grid_.rows;
    const std::int32_t cols = grid_.cols;
    for (int k = 0; k < sheets(); ++k) {
        for (std::int32_t j = 0; j <= rows; ++j) {
            Real* u = u_.row(j, k);
            u[-1] = u[0];
            u[cols + 1] = u[cols];
            Real* v = v_.row(j, k);
            v[-1] = v[0];
            v[cols] = v[cols - 1];
        }
        std::copy_n(u_.row(0, k) - 1, cols + 3, u_.row(-1, k) - 1);
        std::copy_n(u_.row(rows - 1, k) - 1, cols + 3, u_.row(rows, k) - 1);
        std::copy_n(v_.row(0, k) - 1, cols + 2, v_.row(-1, k) - 1);
        std::copy_n(v_.row(rows, k) - 1, cols + 2, v_.row(rows + 1, k) - 1);
    }
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
        const Real* north = qy_.row(0, k);
        const Real* south = qy_.row(rows, k);
        for (std::int32_t i = 0; i < cols; ++i)
            in += (static_cast<double>(north[i]) - static_cast<double>(south[i])) * grid_.dx;
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
        double beyond = 0;
        for (std::size_t k = 0; k < far_field_.size(); ++k)
            beyond += parameters_.buoyancy[k] * static_cast<double>(far_field_[k]);
        weight = std::max(weight, beyond);
        outflow = fastest_x / grid_.dx + fastest_y / grid_.dy;
        rate = outflow + std::sqrt(weight) * static_cast<double>(sweep_.wave_factor);
    }
    double dt = parameters_.longest_step;
    if (rate > 0) dt = std::min(dt, parameters_.courant / rate);
    if (outflow > 0) dt = std::min(dt, 0.5 * outflow_limit / outflow);
    return dt;
}

template <class Real>
double StackSolver<Real>::step(double at_most) {
    const double dt = std::min(stable_step(), at_most);
    Sweep<Real>& s = sweep_;
    s.dt = static_cast<Real>(dt);
    const auto& x = parameters_.exchange;
    if (s.exchange)
        s.substeps =
            std::max(1, static_cast<int>(std::ceil(4.0 * x.mixing * dt / (x.gap_floor * x.gap_floor))));
    fill_ghost_cells(h_);
    copy_ghost_faces();

    s.h = h_.row(0);
    s.u = u_.row(0);
    s.v = v_.row(0);
    s.h_new = h_new_.row(0);
    s.u_new = u_new_.row(0);
    s.v_new = v_new_.row(0);
    s.qx = qx_.row(0);
    s.qy = qy_.row(0);
    if (s.exchange) s.rise = rise_.row(0);

    SweepRates<Real> rates;
    // One thread when there is too little to share.
    const bool share = grid_.cells() * static_cast<std::size_t>(s.sheets) > 20000;
#pragma omp parallel if (share)
    {
        const int threads = omp_get_num_threads();
        const int me = omp_get_thread_num();
        const auto first = static_cast<int>(static_cast<std::int64_t>(s.rows) * me / threads);
        const auto last = static_cast<int>(static_cast<std::int64_t>(s.rows) * (me + 1) / threads);
        const auto scratch =
            std::make_unique<Real[]>(static_cast<std::size_t>(sweep_scratch(s.row_stride, s.stride)));
        if (first < last) functions_.thickness(s, first, last, scratch.get());
#pragma omp barrier
#pragma omp single
        {
            fill_ghost_cells(h_new_);
            // Fluxes just outside repeat those at the edge; rows of x fluxes likewise.
            for (int k = 0; k < s.sheets; ++k) {
                std::copy_n(qx_.row(0, k) - 1, s.cols + 3, qx_.row(-1, k) - 1);
                std::copy_n(qx_.row(s.rows - 1, k) - 1, s.cols + 3, qx_.row(s.rows, k) - 1);
                std::copy_n(qy_.row(0, k) - 1, s.cols + 2, qy_.row(-1, k) - 1);
                std::copy_n(qy_.row(s.rows, k) - 1, s.cols + 2, qy_.row(s.rows + 1, k) - 1);
            }
            if (s.exchange) {
                for (int k = 0; k < s.sheets; ++k) {
                    for (std::int32_t j = 0; j < s.rows; ++j) {
                        rise_.row(j, k)[-1] = rise_.row(j, k)[0];
                        rise_.row(j, k)[s.cols] = rise_.row(j, k)[s.cols - 1];
                    }
                    std::copy_n(rise_.row(0, k) - 1, s.cols + 2, rise_.row(-1, k) - 1);
                    std::copy_n(rise_.row(s.rows - 1, k) - 1, s.cols + 2, rise_.row(s.rows, k) - 1);
                }
            }
        }
        SweepRates<Real> mine;
        if (first < last) functions_.velocity(s, first, last, scratch.get(), mine);
#pragma omp critical
        {
            rates.courant_x = std::max(rates.courant_x, mine.courant_x);
            rates.courant_y = std::max(rates.courant_y, mine.courant_y);
            rates.outflow_x = std::max(rates.outflow_x, mine.outflow_x);
            rates.outflow_y = std::max(rates.outflow_y, mine.outflow_y);
            rates.poison += mine.poison;
        }
    }
    count_edge_fluxes();
    std::swap(h_, h_new_);
    std::swap(u_, u_new_);
    std::swap(v_, v_new_);
    open_edges();
    rates_ = rates;
    rates_known_ = true;
    if (!std::isfinite(static_cast<double>(rates.poison))) {
        throw RunError("the flow became not-a-number after " + std::to_string(time_) +
                       " s of simulated time; please report this site");
    }
    time_ += dt;
    ++steps_;
    return dt;
}

template <class Real>
void StackSolver<Real>::run_until(double time) {
    while (time_ < time) {
        const double left = time - time_;
        step(left);
        if (time - time_ < 1e-9 * std::max(1.0, time)) time_ = time;
    }
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
