// SPDX-License-Identifier: Apache-2.0
// What flows across a line: on the solver's own cell faces, step by step, so that it agrees with what the
// cells on either side gain and lose.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "sim/grid.hpp"
#include "sim/line_cells.hpp"
#include "sim/stack_solver.hpp"

namespace lielow {

/// One cell face a line runs along.
struct LineFace {
    bool on_x = false;     ///< an x face, between columns; otherwise a y face, between rows
    std::int32_t row = 0;  ///< of the face
    std::int32_t col = 0;
    double sign = 1;  ///< +1 where the solver's positive velocity crosses the line from left to right
};

/// The staircase of cell faces nearest to a line, each corner of which lies within a cell's width of it. Left
/// and right are seen looking along the line with the first row of the grid on top. Parts outside the grid
/// follow its edge. Empty for a line that stays within half a cell.
std::vector<LineFace> line_faces(const Polyline& line, const Grid& grid);

/// Counts what crosses lines in a run of the first-order scheme with one sheet, whose fluxes are the giving
/// cell's whole depth with the velocity before the step: exact to rounding but on the grid's own edge.
template <class Real>
class LineMeter {
  public:
    LineMeter(const Grid& grid, const std::vector<Polyline>& lines);

    void before_step(const StackSolver<Real>& solver);
    void after_step(double dt);

    /// Net volume from left to right since the start, m³, of each line.
    [[nodiscard]] const std::vector<double>& crossed_m3() const { return crossed_; }

  private:
    Grid grid_;
    std::vector<std::vector<LineFace>> faces_;
    std::vector<double> rate_;     ///< in the step under way, m³/s
    std::vector<double> crossed_;  ///< m³
};

extern template class LineMeter<float>;
extern template class LineMeter<double>;

}  // namespace lielow
