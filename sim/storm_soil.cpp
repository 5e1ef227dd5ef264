// SPDX-License-Identifier: Apache-2.0
#include "sim/storm_soil.hpp"

#include <algorithm>

#include "sim/errors.hpp"

namespace lielow {
namespace {

template <class Losses>
void check_numbers(const Losses& losses, const Grid& grid) {
    if (losses.of_cell.empty()) return;
    if (losses.of_cell.rows() != grid.rows || losses.of_cell.cols() != grid.cols)
        throw InputError("storm: the map of losses and the ground differ in shape");
    for (const std::uint8_t n : losses.of_cell.all()) {
        if (n >= losses.list.size()) throw InputError("storm: a cell's loss is not in the list");
    }
}

template <class Losses>
std::size_t number_of(const Losses& losses, std::size_t cell) {
    return losses.of_cell.empty() ? 0 : losses.of_cell[cell];
}

}  // namespace

void validate_loss_of(const StormPlan& plan) {
    if (const auto* soils = std::get_if<GreenAmptLosses>(&plan.loss)) {
        check_numbers(*soils, plan.grid);
        for (const GreenAmptSoil& soil : soils->list) validate_soil(soil);
    } else if (const auto* curves = std::get_if<CurveLosses>(&plan.loss)) {
        check_numbers(*curves, plan.grid);
        for (const CurveLoss& loss : curves->list) {
            if (!(loss.initial_m >= 0) || !(loss.retention_m >= 0))
                throw InputError(
                    "storm: negative infiltration; initial loss and retention must be 0 or more");
        }
    } else {
        const double share = std::get<ShareLoss>(plan.loss).runoff_share;
        if (!(share >= 0) || !(share <= 1))
            throw InputError("storm: the share that runs off lies from 0 to 1");
    }
}

StormSoil::StormSoil(const StormPlan& plan) : plan_(plan), rows_(static_cast<std::size_t>(plan.grid.rows)) {
    if (const auto* soils = std::get_if<GreenAmptLosses>(&plan.loss);
        soils != nullptr && !soils->list.empty())
        soaked_m_ = Field<double>(plan.grid.rows, plan.grid.cols, 0.0);
    for (std::size_t c = 0; c < plan.outside.size(); ++c) {
        if (plan.outside[c] != 0) outside_.push_back(c);
    }
}

double StormSoil::soaked(std::size_t cell, double standing, double intensity, double seconds) {
    if (const auto* soils = std::get_if<GreenAmptLosses>(&plan_.loss)) {
        if (soils->list.empty()) return 0;
        double& so_far = soaked_m_[cell];
        const double more =
            soaks_in(soils->list[number_of(*soils, cell)], so_far, standing, intensity, seconds);
        so_far += more;
        return more;
    }
    const double rain = intensity * seconds;
    if (const auto* share = std::get_if<ShareLoss>(&plan_.loss)) return rain * (1 - share->runoff_share);
    const auto& curves = std::get<CurveLosses>(plan_.loss);
    return curves.list.empty() ? 0.0 : rain - curve_excess_[number_of(curves, cell)];
}

template <class Real>
void StormSoil::pulse(StackSolver<Real>& solver, double from, double to) {
    const double before = plan_.rain.depth_at(from);
    const double after = plan_.rain.depth_at(to);
    const double rain = after - before;
    if (const auto* curves = std::get_if<CurveLosses>(&plan_.loss)) {
        curve_excess_.clear();
        for (const CurveLoss& loss : curves->list) {
            const double excess = curve_runoff(loss, after) - curve_runoff(loss, before);
            curve_excess_.push_back(std::clamp(excess, 0.0, rain));
        }
    }
    const Grid& grid = plan_.grid;
#pragma omp parallel for schedule(static) if (grid.cells() > 20000)
    for (std::int32_t j = 0; j < grid.rows; ++j) {
        RowSums sums;
        for (std::int32_t i = 0; i < grid.cols; ++i) {
            const std::size_t cell = grid.index(j, i);
            if (!plan_.outside.empty() && plan_.outside[cell] != 0) continue;
            const auto standing = static_cast<double>(solver.thickness(0, j, i));
            sums.rain += rain;
            if (!(standing > 0) && !(rain > 0)) continue;
            const double taken = soaked(cell, standing, rain / (to - from), to - from);
            sums.soaked += taken;
            const auto left = static_cast<Real>(std::max(0.0, standing + (rain - taken)));
            if (left == solver.thickness(0, j, i)) continue;
            solver.set_thickness(0, j, i, left);
        }
        rows_[static_cast<std::size_t>(j)] = sums;
    }
    double fallen = 0;
    double soaked_in = 0;
    for (const RowSums& row : rows_) {
        fallen += row.rain;
        soaked_in += row.soaked;
    }
    fallen_m3_ += fallen * grid.cell_area();
    infiltrated_m3_ += soaked_in * grid.cell_area();
}

template <class Real>
void StormSoil::drain(StackSolver<Real>& solver) {
    const Grid& grid = plan_.grid;
    double drained = 0;
    const auto empty = [&](std::int32_t row, std::int32_t col) {
        const Real standing = solver.thickness(0, row, col);
        if (!(standing > 0)) return;
        drained += static_cast<double>(standing);
        solver.set_thickness(0, row, col, Real(0));
    };
    for (std::int32_t j = 0; j < grid.rows; ++j) {
        if (plan_.edges.west == EdgeKind::open) empty(j, 0);
        if (plan_.edges.east == EdgeKind::open) empty(j, grid.cols - 1);
    }
    for (std::int32_t i = 0; i < grid.cols; ++i) {
        if (plan_.edges.north == EdgeKind::open) empty(0, i);
        if (plan_.edges.south == EdgeKind::open) empty(grid.rows - 1, i);
    }
    for (const std::size_t cell : outside_) {
        const auto cols = static_cast<std::size_t>(grid.cols);
        empty(static_cast<std::int32_t>(cell / cols), static_cast<std::int32_t>(cell % cols));
    }
    drained_m3_ += drained * grid.cell_area();
}

template void StormSoil::drain(StackSolver<float>&);
template void StormSoil::drain(StackSolver<double>&);
template void StormSoil::pulse(StackSolver<float>&, double, double);
template void StormSoil::pulse(StackSolver<double>&, double, double);

}  // namespace lielow
