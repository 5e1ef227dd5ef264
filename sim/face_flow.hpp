// SPDX-License-Identifier: Apache-2.0
// The flow of the lowest air: velocities on the faces of a grid, their mean over time, and reading them
// anywhere.
//
// Positions are metres: x along a row from the grid's first edge, y down the rows. Faces as in StackSolver:
// u(j, i) lies at (i dx, (j + 1/2) dy), v(j, i) at ((i + 1/2) dx, j dy).
#pragma once

#include <cstdint>

#include "sim/grid.hpp"
#include "sim/stack_solver.hpp"

namespace lielow {

/// A velocity, m/s: x along the rows, y down them.
struct Velocity {
    double x = 0;
    double y = 0;
};

struct FaceFlow {
    Grid grid;
    Field<float> u;  ///< rows × (cols + 1), m/s
    Field<float> v;  ///< (rows + 1) × cols, m/s

    /// Each component linear between its own faces both ways, carried on level past the outermost ones.
    [[nodiscard]] Velocity at(double x, double y) const;
    /// At the middle of a cell: the mean of its faces.
    [[nodiscard]] Velocity in_cell(std::int32_t row, std::int32_t col) const;
};

/// Transport through the faces by the air up to a height above the ground, and the depth of cold air that
/// carries it; a mean over time or the state of one moment.
class LowestAir {
  public:
    /// `up_to`: m above the ground, > 0.
    LowestAir(const Grid& grid, double up_to);
    /// Adds the solver's present state with the weight `seconds`.
    void add(const StackSolver<float>& solver, double seconds);
    /// Transport over depth: the mean velocity of the cold air below the height, 0 where there was none.
    [[nodiscard]] FaceFlow mean() const;
    void walk(StateWalk& walk) {
        for (Field<float>* field : {&transport_x_, &depth_x_, &transport_y_, &depth_y_}) walk.field(*field);
    }

  private:
    Grid grid_;
    double up_to_;
    Field<float> transport_x_, depth_x_, transport_y_, depth_y_;  ///< m² and m s
};

}  // namespace lielow
