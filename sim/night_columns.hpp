// SPDX-License-Identifier: Apache-2.0
// A running night's columns as temperatures are read from them.
#pragma once

#include "sim/column_temperature.hpp"
#include "sim/night_mixing.hpp"
#include "sim/stack_solver.hpp"

namespace lielow {

/// Reads every cell's column: `read(row, col, column, scale)` with the isotherms' heights and the gradient at
/// the ground that the cell's own loss keeps up.
template <class Read>
void read_columns(const StackSolver<float>& solver, double sheet_step, const NightMixing& mixing,
                  const Field<float>& loss, Read read) {
    const Grid& grid = solver.grid();
    const int sheets = solver.sheets();
#pragma omp parallel for schedule(static)
    for (std::int32_t j = 0; j < grid.rows; ++j) {
        float column[StackParameters::most_sheets];
        for (std::int32_t i = 0; i < grid.cols; ++i) {
            float height = 0;
            for (int k = sheets - 1; k >= 0; --k) column[k] = height += solver.thickness(k, j, i);
            const auto q = static_cast<double>(loss(j, i));
            read(j, i, column, ColumnScale{sheet_step, q / mixing.near_ground(j, i, q)});
        }
    }
}

/// q/K of the air at the ground of every cell, K/m.
inline Field<float> surface_gradient(const StackSolver<float>& solver, double sheet_step,
                                     const NightMixing& mixing, const Field<float>& loss) {
    Field<float> gradient(solver.grid().rows, solver.grid().cols);
    read_columns(solver, sheet_step, mixing, loss,
                 [&](std::int32_t j, std::int32_t i, const float*, const ColumnScale& scale) {
                     gradient(j, i) = static_cast<float>(scale.surface_gradient);
                 });
    return gradient;
}

}  // namespace lielow
