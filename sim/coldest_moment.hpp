// SPDX-License-Identifier: Apache-2.0
// The columns of a running night at their coldest.
#pragma once

#include <cstddef>
#include <vector>

#include "sim/column_temperature.hpp"
#include "sim/night_columns.hpp"
#include "sim/night_mixing.hpp"
#include "sim/stack_solver.hpp"

namespace lielow {

/// Keeps each cell's column of the moment at which it was coldest at plant height.
class ColdestMoment {
  public:
    ColdestMoment(const Grid& grid, int sheets)
        : deficit_(grid.rows, grid.cols, -1.0F),
          time_(grid.rows, grid.cols, 0.0F),
          gradient_(grid.rows, grid.cols, 0.0F) {
        for (int k = 0; k < sheets; ++k) height_.emplace_back(grid.rows, grid.cols, 0.0F);
    }
    void update(const StackSolver<float>& solver, double sheet_step, double plant_height,
                const NightMixing& mixing, const Field<float>& loss) {
        const int sheets = solver.sheets();
        read_columns(solver, sheet_step, mixing, loss,
                     [&](std::int32_t j, std::int32_t i, const float* column, const ColumnScale& scale) {
                         const auto deficit =
                             static_cast<float>(deficit_at(scale, column, sheets, plant_height));
                         if (!(deficit > deficit_(j, i))) return;
                         deficit_(j, i) = deficit;
                         time_(j, i) = static_cast<float>(solver.time());
                         gradient_(j, i) = static_cast<float>(scale.surface_gradient);
                         for (int k = 0; k < sheets; ++k)
                             height_[static_cast<std::size_t>(k)](j, i) = column[k];
                     });
    }
    void walk(StateWalk& walk) {
        for (Field<float>* field : {&deficit_, &time_, &gradient_}) walk.field(*field);
        for (Field<float>& field : height_) walk.field(field);
    }
    std::vector<Field<float>>& heights() { return height_; }
    Field<float>& times() { return time_; }
    Field<float>& gradients() { return gradient_; }

  private:
    Field<float> deficit_;
    Field<float> time_;
    Field<float> gradient_;
    std::vector<Field<float>> height_;
};

}  // namespace lielow
