// SPDX-License-Identifier: Apache-2.0
// A stack whose grid is cut out of a larger one, and its state as it is put aside and taken up again.
//
// Why one row a step: a new thickness needs the old ones of the rows beside it and the y faces of its own; a
// new x velocity the x faces of the rows beside it; a new y velocity the new thickness and the fluxes of the
// two rows it lies between. With rows a to b − 1 of cells good, x faces of a + 1 to b − 1 and y faces a + 1
// to b − 1, the step leaves the same with a + 1 and b − 1 in place of a and b.
#include <algorithm>

#include "sim/errors.hpp"
#include "sim/stack_solver.hpp"

namespace lielow {

template <class Real>
void StackSolver<Real>::set_cuts(bool north, bool south, const RowSpan& counted) {
    if ((north || south) && sweep_.order != SchemeOrder::first)
        throw InputError("a grid cut out of a larger one takes the first-order scheme");
    cut_north_ = north;
    cut_south_ = south;
    counted_ = {counted, !north && counted.first == 0, !south && counted.last == grid_.rows};
}

template <class Real>
RowSpan StackSolver<Real>::whole_rows() const {
    return {cut_north_ ? behind_ : 0, cut_south_ ? grid_.rows - behind_ : grid_.rows};
}

template <class Real>
RowSpan StackSolver<Real>::rows_of_thickness() const {
    const RowSpan whole = whole_rows();
    // The last row before a cut is swept for the sake of the fluxes through its north faces alone.
    return {cut_north_ ? whole.first + 1 : 0, whole.last};
}

template <class Real>
RowSpan StackSolver<Real>::rows_of_velocity() const {
    const RowSpan whole = whole_rows();
    return {cut_north_ ? whole.first + 2 : 0, cut_south_ ? whole.last - 1 : whole.last};
}

template <class Real>
void StackSolver<Real>::step_to(double time) {
    fill_ghosts();
    advance(time - time_);
    time_ = time;
}

template <class Real>
void StackSolver<Real>::count_sheets() {
    const auto none = [](const Real* from, const Real* to) {
        return std::all_of(from, to, [](Real value) { return value == 0; });
    };
    for (std::int32_t j = 0; j < grid_.rows; ++j) {
        int count = sheets();
        for (; count > 0; --count) {
            const auto absent = [&](const SheetArray<Real>& array) {
                const Real* row = array.row(j, count - 1);
                return none(row, row + grid_.cols + 1);
            };
            if (!absent(h_) || !absent(u_) || !absent(v_)) break;
        }
        present_.data()[j + SheetArray<Real>::rim] = count;
    }
}

template <class Real>
void StackSolver<Real>::walk(StateWalk& walk) {
    const auto older = [&walk](SheetArray<Real>& array) { walk.scratch(array.all()); };
    // The older values too: a sweep leaves rows alone where a sheet doesn't exist.
    walk.sheets(h_);
    older(h_new_);
    walk.sheets(u_);
    older(u_new_);
    walk.sheets(v_);
    for (auto* array : {&v_new_, &qx_, &qy_, &rise_, &h_half_, &u_star_, &v_star_}) older(*array);
    walk.scratch(std::span<int>(present_));
    walk.scratch(std::span<int>(present_new_));
    for (auto* plane : {&loss_, &stirring_, &flow_stirring_}) walk.scratch(plane->all());
    walk.own(rates_);
    walk.value(lead_);
    walk.value(last_pull_);
    walk.value(rates_known_);
    walk.value(time_);
    walk.value(steps_);
    walk.own(crossed_);
    if (walk.restores() && walk.is_carried()) count_sheets();
}

#define LIELOW_STACK_CUT(Real)                                             \
    template void StackSolver<Real>::set_cuts(bool, bool, const RowSpan&); \
    template RowSpan StackSolver<Real>::whole_rows() const;                \
    template RowSpan StackSolver<Real>::rows_of_thickness() const;         \
    template RowSpan StackSolver<Real>::rows_of_velocity() const;          \
    template void StackSolver<Real>::step_to(double);                      \
    template void StackSolver<Real>::count_sheets();                       \
    template void StackSolver<Real>::walk(StateWalk&)
LIELOW_STACK_CUT(float);
LIELOW_STACK_CUT(double);
#undef LIELOW_STACK_CUT

}  // namespace lielow
