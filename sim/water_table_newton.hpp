// SPDX-License-Identifier: Apache-2.0
// Private to the water table: one implicit step, solved. Needs Eigen.
#pragma once

#include <Eigen/IterativeLinearSolvers>
#include <Eigen/SparseCore>
#include <span>
#include <vector>

#include "sim/water_table.hpp"
#include "sim/water_table_cells.hpp"

namespace lielow {

/// Row-major, so that Eigen's products run on all threads, each row in one and the same order.
using WaterTableMatrix = Eigen::SparseMatrix<double, Eigen::RowMajor, std::int32_t>;

struct NewtonReport {
    bool settled = false;
    int steps = 0;
    int linear_iterations = 0;
};

/// When an iteration counts as settled: by the residual or by the last change, whichever comes first.
struct NewtonGoal {
    double residual_m = 1e-9;
    double change_m = 0;  ///< 0 = by the residual alone
    int most_steps = 50;
};

/// Backward Euler for thickness s over one step, each cell's equation divided by store/dt, so that a residual
/// is metres of water table:
///
///     G = s − s_old + dt/store · (what flows to neighbours, edges and drains − area · recharge)
///
/// with G = 0 where s < cap, and G <= 0 where s = cap: −G comes out.
class WaterTableNewton {
  public:
    explicit WaterTableNewton(const WaterTableCells& cells);

    /// `s` holds the first guess, then the answer. `recharge` in m/s.
    NewtonReport solve(std::span<const double> s_old, std::span<const double> recharge, double dt_s,
                       std::vector<double>& s, const NewtonGoal& goal = {});

    /// Plants that draw on the water table in the solves to come; none to begin with.
    void set_uptake(const RootUptake& uptake);

    /// G of the last answer, m; where the cell is full, minus what came out.
    [[nodiscard]] std::span<const double> residual() const { return {g_.data(), cells_->size()}; }
    [[nodiscard]] bool full(std::size_t i) const { return full_[i] != 0; }
    /// What left the cell over the edge or into drains at thickness s, m³/s.
    [[nodiscard]] double over_edge(std::size_t i, double s) const { return cells_->edge[i] * s; }
    [[nodiscard]] double into_drain(std::size_t i, double s) const;

  private:
    void lay_out();
    /// Solves for the matrix and right_ and moves s by `share` of it; returns the greatest whole move, m.
    double move(std::vector<double>& s, double share, NewtonReport& report);
    [[nodiscard]] double taken_up(std::size_t i, double s) const;
    /// Fills g_, the matrix and full_; returns the greatest violation, m.
    double assemble(std::span<const double> s_old, std::span<const double> recharge, double dt_s,
                    std::span<const double> s);
    double assemble_row(std::size_t i, std::span<const double> s_old, std::span<const double> recharge,
                        double dt_s, std::span<const double> s);

    const WaterTableCells* cells_;
    WaterTableMatrix matrix_;
    /// In the matrix's values: by CellSide, then the diagonal.
    std::vector<std::array<std::int32_t, 5>> place_;
    Eigen::VectorXd g_;
    Eigen::VectorXd right_;
    std::vector<std::uint8_t> full_;
    RootUptake uptake_;
};

}  // namespace lielow
