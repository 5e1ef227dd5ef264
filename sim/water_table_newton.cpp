// SPDX-License-Identifier: Apache-2.0
#include "sim/water_table_newton.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "sim/water_table_flux.hpp"
#include "sim/water_table_ilu.hpp"

namespace lielow {
namespace {

constexpr double linear_tolerance = 1e-4;  // of each Newton step's right-hand side
constexpr int most_linear_iterations = 400;
constexpr std::size_t kDiagonal = 4;

/// How much of each Newton step is taken. Thin layers on slopes can make full steps swing to and fro for
/// ever: after a dozen, steps are halved, down to a quarter, while the residual doesn't fall well below the
/// best, which is forgotten every few steps since a residual may have to rise on the way.
class Damping {
  public:
    double next(double worst, int step) {
        const bool better = worst < 0.7 * best_;
        factor_ = better || step < 12 ? std::min(1.0, 2 * factor_) : std::max(0.25, factor_ / 2);
        if (better || step % 8 == 7) best_ = worst;
        return factor_;
    }

  private:
    double best_ = std::numeric_limits<double>::infinity();
    double factor_ = 1;
};

}  // namespace

WaterTableNewton::WaterTableNewton(const WaterTableCells& cells)
    : cells_(&cells),
      g_(static_cast<Eigen::Index>(cells.size())),
      right_(static_cast<Eigen::Index>(cells.size())),
      full_(cells.size(), 0) {
    lay_out();
}

void WaterTableNewton::lay_out() {
    const std::size_t n = cells_->size();
    place_.resize(n);
    std::vector<std::int32_t> per_row(n, 1);
    for (std::size_t i = 0; i < n; ++i) {
        for (const std::int32_t other : cells_->neighbour[i]) per_row[i] += other != kNoCell ? 1 : 0;
    }
    matrix_.resize(static_cast<Eigen::Index>(n), static_cast<Eigen::Index>(n));
    matrix_.reserve(per_row);
    for (std::size_t i = 0; i < n; ++i) {
        const auto row = static_cast<Eigen::Index>(i);
        const auto& near = cells_->neighbour[i];
        for (const CellSide side : {kNorth, kWest}) {
            if (near[side] != kNoCell) matrix_.insert(row, near[side]) = 0;
        }
        matrix_.insert(row, row) = 1;
        for (const CellSide side : {kEast, kSouth}) {
            if (near[side] != kNoCell) matrix_.insert(row, near[side]) = 0;
        }
    }
    matrix_.makeCompressed();
    for (std::size_t i = 0; i < n; ++i) {
        std::int32_t at = matrix_.outerIndexPtr()[i];
        const auto& near = cells_->neighbour[i];
        const auto next = [&](std::int32_t other) { return other != kNoCell ? at++ : kNoCell; };
        place_[i][kNorth] = next(near[kNorth]);
        place_[i][kWest] = next(near[kWest]);
        place_[i][kDiagonal] = at++;
        place_[i][kEast] = next(near[kEast]);
        place_[i][kSouth] = next(near[kSouth]);
    }
}

double WaterTableNewton::into_drain(std::size_t i, double s) const {
    if (cells_->drain_level.empty()) return 0;
    const double above = std::max(0.0, s - cells_->drain_level[i]);
    return (cells_->drain_linear[i] + cells_->drain_square[i] * above) * above;
}

void WaterTableNewton::set_uptake(const RootUptake& uptake) {
    uptake_ = uptake;
}

double WaterTableNewton::taken_up(std::size_t i, double s) const {
    if (uptake_.rate_m_s <= 0) return 0;
    const double below = std::max(0.0, cells_->depth[i] - uptake_.reach_m);  // out of the roots' reach
    return cells_->grid.cell_area() * uptake_.rate_m_s * std::max(0.0, s - below) / uptake_.reach_m;
}

double WaterTableNewton::assemble_row(std::size_t i, std::span<const double> s_old,
                                      std::span<const double> recharge, double dt_s,
                                      std::span<const double> s) {
    const WaterTableCells& c = *cells_;
    double* const values = matrix_.valuePtr();
    const double scale = dt_s / c.store[i];
    double out = c.edge[i] * s[i] + into_drain(i, s[i]) - c.grid.cell_area() * recharge[i];
    out += taken_up(i, s[i]);
    double slope =
        c.edge[i] + (taken_up(i, s[i]) > 0 ? c.grid.cell_area() * uptake_.rate_m_s / uptake_.reach_m : 0);
    if (!c.drain_level.empty() && s[i] > c.drain_level[i])
        slope += c.drain_linear[i] + 2 * c.drain_square[i] * (s[i] - c.drain_level[i]);
    for (const CellSide side : {kNorth, kWest, kEast, kSouth}) {
        const std::int32_t at = c.neighbour[i][side];
        if (at == kNoCell) continue;
        const auto j = static_cast<std::size_t>(at);
        const double k = c.conductance(i, side);
        const double fall = c.floor[i] - c.floor[j];
        double to_j = 0;
        if (s[i] + fall >= s[j]) {
            const GroundFlux flux = ground_flux(s[i], s[j], fall);
            out += k * flux.flow;
            slope += k * flux.by_upper;
            to_j = k * flux.by_lower;
        } else {
            const GroundFlux flux = ground_flux(s[j], s[i], -fall);
            out -= k * flux.flow;
            slope -= k * flux.by_lower;
            to_j = -k * flux.by_upper;
        }
        values[place_[i][side]] = scale * to_j;
    }
    const auto row = static_cast<Eigen::Index>(i);
    const double diagonal = 1 + scale * slope;
    g_[row] = s[i] - s_old[i] + scale * out;
    values[place_[i][kDiagonal]] = diagonal;
    const double room = c.cap[i] - s[i];
    full_[i] = -g_[row] / diagonal >= room ? 1 : 0;
    if (full_[i] == 0) {
        right_[row] = -g_[row];
        return std::abs(g_[row]);
    }
    for (const CellSide side : {kNorth, kWest, kEast, kSouth}) {
        if (place_[i][side] != kNoCell) values[place_[i][side]] = 0;
    }
    values[place_[i][kDiagonal]] = 1;
    right_[row] = room;
    return std::abs(room);
}

double WaterTableNewton::assemble(std::span<const double> s_old, std::span<const double> recharge,
                                  double dt_s, std::span<const double> s) {
    double worst = 0;  // a maximum doesn't depend on the order
    const auto n = static_cast<std::int64_t>(cells_->size());
#pragma omp parallel for schedule(static) reduction(max : worst)
    for (std::int64_t i = 0; i < n; ++i)
        worst = std::max(worst, assemble_row(static_cast<std::size_t>(i), s_old, recharge, dt_s, s));
    return worst;
}

double WaterTableNewton::move(std::vector<double>& s, double share, NewtonReport& report) {
    Eigen::BiCGSTAB<WaterTableMatrix, FivePointIlu> solver;
    solver.setTolerance(linear_tolerance);
    solver.setMaxIterations(most_linear_iterations);
    solver.compute(matrix_);
    const Eigen::VectorXd change = solver.solve(right_);
    report.steps += 1;
    report.linear_iterations += static_cast<int>(solver.iterations());
    const double* const by = change.data();
    const auto n = static_cast<std::int64_t>(cells_->size());
    double greatest = 0;  // a maximum doesn't depend on the order
#pragma omp parallel for schedule(static) reduction(max : greatest)
    for (std::int64_t i = 0; i < n; ++i) {
        const auto at = static_cast<std::size_t>(i);
        const double before = s[at];
        s[at] = std::clamp(before + share * by[i], 0.0, cells_->cap[at]);
        greatest = std::max(greatest, std::abs(s[at] - before));
    }
    return greatest / share;
}

NewtonReport WaterTableNewton::solve(std::span<const double> s_old, std::span<const double> recharge,
                                     double dt_s, std::vector<double>& s, const NewtonGoal& goal) {
    NewtonReport report;
    Damping damping;
    while (true) {
        const double worst = assemble(s_old, recharge, dt_s, s);
        if (!std::isfinite(worst)) return report;
        report.settled = worst <= goal.residual_m;
        if (report.settled || report.steps >= goal.most_steps) return report;
        const double share = damping.next(worst, report.steps);
        report.settled = move(s, share, report) <= goal.change_m && goal.change_m > 0;
        if (report.settled) return report;
    }
}

}  // namespace lielow
