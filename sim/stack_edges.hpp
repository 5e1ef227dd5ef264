// SPDX-License-Identifier: Apache-2.0
// What a stack meets at the four sides of its grid: values of the ghost cells and of the faces on the edge.
#pragma once

#include <array>
#include <cstdint>
#include <span>
#include <vector>

#include "sim/grid.hpp"
#include "sim/sheet_array.hpp"
#include "sim/stack_parameters.hpp"

namespace lielow {

/// What lies outside one side of kind given: for every place along it, in the order of the rows or columns.
/// Sheet by sheet, top first: value [sheet * places + place].
struct SideOutside {
    std::span<const float> thickness;   ///< m
    std::span<const float> velocity_x;  ///< m/s, of what flows in
    std::span<const float> velocity_y;
};

enum class Side : std::uint8_t { west, east, north, south };

template <class Real>
class StackEdges {
  public:
    StackEdges() = default;
    StackEdges(const Grid& grid, const Field<double>& ground, const StackParameters& parameters);

    void set_far_field(std::span<const double> isotherm_height, double elevation, double fill);
    void set_inflow(Side side, double discharge, double depth);
    void set_outside(Side side, const SideOutside& outside);

    /// Thickness of the ghost cells, two deep, from the cells inside.
    void fill_cells(SheetArray<Real>& h) const;
    /// Velocities of the edge's faces where the edge dictates them: what leaves through open edges, what
    /// flows in. `h` with ghosts.
    void fill_faces(const SheetArray<Real>& h, SheetArray<Real>& u, SheetArray<Real>& v) const;
    /// Values outside repeat those on the edge: velocities, or fluxes, or anything else that lives on faces.
    void repeat_faces(SheetArray<Real>& on_x, SheetArray<Real>& on_y) const;
    /// Velocities outside: those on the edge repeated, but none where calm far-field air lies beyond, so that
    /// what flows in has to be set in motion first (it brings no momentum along).
    void repeat_velocities(SheetArray<Real>& u, SheetArray<Real>& v) const;
    /// The same for what lives in cells.
    void repeat_cells(SheetArray<Real>& in_cells) const;

    /// One value in all ghost cells.
    void set_ghost_cells(SheetArray<Real>& in_cells, Real value) const;

  private:
    struct Inflow {
        double discharge = 0;  ///< m²/s
        double depth = 0;      ///< m; 0 = that of the cell inside, but no less than critical
    };
    [[nodiscard]] EdgeKind kind(Side side) const { return kinds_[static_cast<std::size_t>(side)]; }
    /// One ghost column of all sheets; `stride` leads from sheet to sheet.
    void fill_column(Side side, std::size_t place, std::ptrdiff_t stride, const Real* edge,
                     Real* ghost) const;
    /// The same where the stack outside is given.
    void fill_given(Side side, std::size_t place, std::ptrdiff_t stride, Real* ghost) const;
    /// Velocities outside where they are given.
    void give_velocities(SheetArray<Real>& u, SheetArray<Real>& v) const;
    /// Thickness of the outer ghost cell from those of the edge's cell and of the inner ghost cell.
    [[nodiscard]] Real second_ghost(Side side, Real edge, Real ghost) const;
    /// Speed that brings the discharge in through the edge's face, given the thickness of the cells around it
    /// from inside out.
    [[nodiscard]] Real inflow_speed(Side side, Real edge, Real ghost, Real beyond) const;
    /// What flows in goes on outside as it does across the edge, for a slope to be taken of it.
    void slope_inflow(SheetArray<Real>& u, SheetArray<Real>& v) const;

    Grid grid_;
    int sheets_ = 0;
    bool second_ = false;
    double top_buoyancy_ = 1;
    std::array<EdgeKind, 4> kinds_{};
    std::array<Inflow, 4> inflow_{};
    std::array<std::vector<double>, 4> ground_;  ///< elevation of the cells along each side, m
    struct Given {
        std::vector<Real> thickness;
        std::vector<Real> velocity_x;
        std::vector<Real> velocity_y;
    };
    std::array<Given, 4> given_;  ///< see SideOutside; empty = nothing outside
    std::vector<double> far_height_;
    double far_elevation_ = 0;
    double far_fill_ = 1;
};

extern template class StackEdges<float>;
extern template class StackEdges<double>;

}  // namespace lielow
