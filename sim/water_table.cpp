// SPDX-License-Identifier: Apache-2.0
#include "sim/water_table.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "sim/errors.hpp"
#include "sim/water_table_cells.hpp"
#include "sim/water_table_newton.hpp"
#include "sim/water_table_settle.hpp"

namespace lielow {
namespace {

double stored(const WaterTableCells& cells, std::span<const double> s) {
    double sum = 0;
    for (std::size_t i = 0; i < cells.size(); ++i) sum += cells.store[i] * s[i];
    return sum;
}

}  // namespace

struct WaterTable::Parts {
    explicit Parts(WaterTableCells&& made)
        : cells(std::move(made)),
          newton(cells),
          s(cells.cap),
          trial(s),
          rate(s.size(), 0),
          came_out(s.size(), 0) {}

    void start_afresh() {
        std::fill(rate.begin(), rate.end(), 0.0);
        last_dt = 0;
        balance = {};
        balance.stored_at_start_m3 = balance.stored_m3 = stored(cells, s);
    }
    double error_of(double dt) const;
    void take(double dt, std::span<const double> recharge);

    const WaterTableCells cells;
    WaterTableNewton newton;
    std::vector<double> s;  ///< saturated thickness, m
    std::vector<double> trial;
    std::vector<double> rate;  ///< of the last step, m/s
    std::vector<double> came_out;
    double last_dt = 0;  ///< 0: there is no last step
    WaterTableBalance balance;
};

/// Backward Euler's local error is dt²/2 · s''; s'' from this step's and the last one's rate.
double WaterTable::Parts::error_of(double dt) const {
    if (last_dt == 0) return 0;
    double worst = 0;
    for (std::size_t i = 0; i < s.size(); ++i)
        worst = std::max(worst, std::abs(trial[i] - s[i] - rate[i] * dt));
    return worst * dt / (dt + last_dt);
}

void WaterTable::Parts::take(double dt, std::span<const double> recharge) {
    for (std::size_t i = 0; i < s.size(); ++i) {
        const double out =
            newton.full(i) ? std::max(0.0, -newton.residual()[i]) * cells.store[i] : 0.0;  // m³
        const bool ditch = cells.cap[i] < cells.depth[i];
        (ditch ? balance.to_ditches_m3 : balance.to_surface_m3) += out;
        came_out[i] = ditch ? 0.0 : out / cells.grid.cell_area();
        balance.recharge_m3 += recharge[i] * dt * cells.grid.cell_area();
        balance.over_edges_m3 += newton.over_edge(i, trial[i]) * dt;
        balance.to_drains_m3 += newton.into_drain(i, trial[i]) * dt;
        rate[i] = (trial[i] - s[i]) / dt;
    }
    std::swap(s, trial);
    last_dt = dt;
    balance.stored_m3 = stored(cells, s);
}

WaterTable::WaterTable(const Grid& grid, const Field<float>& z, const Soil& soil, const GroundDrains& drains)
    : parts_(std::make_unique<Parts>(water_table_cells(grid, z, soil, drains))) {
    parts_->start_afresh();
}
WaterTable::~WaterTable() = default;
WaterTable::WaterTable(WaterTable&&) noexcept = default;
WaterTable& WaterTable::operator=(WaterTable&&) noexcept = default;

const Grid& WaterTable::grid() const {
    return parts_->cells.grid;
}
std::size_t WaterTable::size() const {
    return parts_->cells.size();
}
std::span<const std::uint32_t> WaterTable::grid_cells() const {
    return parts_->cells.cell;
}
std::span<const double> WaterTable::came_out_m() const {
    return parts_->came_out;
}
std::span<const double> WaterTable::thickness_m() const {
    return parts_->s;
}
std::span<const double> WaterTable::floor_depth_m() const {
    return parts_->cells.depth;
}
const WaterTableBalance& WaterTable::balance() const {
    return parts_->balance;
}

void WaterTable::start(const Field<float>& table_depth_m) {
    Parts& p = *parts_;
    for (std::size_t i = 0; i < p.s.size(); ++i) {
        const auto depth = static_cast<double>(table_depth_m[p.cells.cell[i]]);
        if (!std::isfinite(depth))
            throw InputError("the water table's depth must be given wherever there is ground");
        p.s[i] = std::clamp(p.cells.depth[i] - depth, 0.0, p.cells.cap[i]);
    }
    p.start_afresh();
}

void WaterTable::fill(const Field<float>& water_m, Field<float>& left_m) {
    Parts& p = *parts_;
    const double area = p.cells.grid.cell_area();
    left_m = Field<float>(p.cells.grid.rows, p.cells.grid.cols, 0.0F);
    for (std::size_t i = 0; i < p.s.size(); ++i) {
        const std::uint32_t cell = p.cells.cell[i];
        const auto water = std::max(0.0, static_cast<double>(water_m[cell]));
        const double porosity = p.cells.store[i] / area;
        const double goes_in = std::min(water, porosity * (p.cells.cap[i] - p.s[i]));
        p.s[i] = std::min(p.s[i] + goes_in / porosity, p.cells.cap[i]);
        left_m[cell] = static_cast<float>(water - goes_in);
    }
    p.start_afresh();
}

WaterTableStep WaterTable::step(double dt_s, std::span<const double> recharge_m_s, double most_error_m) {
    Parts& p = *parts_;
    // First guess: on as in the last step.
    for (std::size_t i = 0; i < p.s.size(); ++i)
        p.trial[i] = std::clamp(p.s[i] + p.rate[i] * dt_s, 0.0, p.cells.cap[i]);
    const NewtonReport solved = p.newton.solve(p.s, recharge_m_s, dt_s, p.trial);
    WaterTableStep report{false, 0, solved.steps, solved.linear_iterations};
    if (!solved.settled) return report;
    report.error_m = p.error_of(dt_s);
    report.taken = report.error_m <= most_error_m;
    if (report.taken) p.take(dt_s, recharge_m_s);
    return report;
}

WaterTableSettled WaterTable::settle(double recharge_m_s, const RootUptake& uptake) {
    Parts& p = *parts_;
    p.newton.set_uptake(uptake);
    WaterTableSettled report = settle_thickness(p.cells, p.newton, recharge_m_s, p.s);
    p.newton.set_uptake({});
    p.start_afresh();
    return report;
}

Field<float> WaterTable::table_depth() const {
    const Parts& p = *parts_;
    Field<float> depth(p.cells.grid.rows, p.cells.grid.cols, std::numeric_limits<float>::quiet_NaN());
    for (std::size_t i = 0; i < p.s.size(); ++i)
        depth[p.cells.cell[i]] = static_cast<float>(std::max(0.0, p.cells.depth[i] - p.s[i]));
    return depth;
}

}  // namespace lielow
