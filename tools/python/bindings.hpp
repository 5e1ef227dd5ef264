// SPDX-License-Identifier: Apache-2.0
// What the parts of the Python module share.
#pragma once

#include <pybind11/numpy.h>
#include <pybind11/pybind11.h>

#include <cstdint>
#include <string>

#include "sim/errors.hpp"
#include "sim/grid.hpp"
#include "sim/stack_solver.hpp"

namespace lielow {

/// An array of numbers, whatever NumPy makes of what it is given.
template <class T>
using NumberArray = pybind11::array_t<T, pybind11::array::c_style | pybind11::array::forcecast>;

/// A site as Python holds it, a dict of dicts like a site file's tables, as the text of such a file. Throws
/// InputError for a value that a site file can't hold.
std::string site_text(const pybind11::dict& site);

/// A copy of a two-dimensional array. Throws InputError that names it `what` unless it has this shape.
template <class T>
Field<T> field_from(const NumberArray<T>& values, std::int32_t rows, std::int32_t cols, const char* what) {
    if (values.ndim() != 2 || values.shape(0) != rows || values.shape(1) != cols) {
        throw InputError(std::string(what) + " must be an array of " + std::to_string(rows) + " rows and " +
                         std::to_string(cols) + " columns");
    }
    Field<T> field(rows, cols);
    std::copy_n(values.data(), field.size(), field.data());
    return field;
}

/// A read-only array rows × sheets × columns over memory of `owner`, which it keeps alive. `first`: column 0
/// of sheet 0 in row 0; `next_sheet` and `next_row` the same of the sheet and the row after it, or `first`
/// where there is none.
template <class Real>
pybind11::array sheets_view(const Real* first, const Real* next_sheet, const Real* next_row,
                            std::array<std::int32_t, 3> rows_sheets_cols, pybind11::handle owner) {
    const auto bytes = [first](const Real* next) {
        return static_cast<pybind11::ssize_t>((next - first) * static_cast<std::ptrdiff_t>(sizeof(Real)));
    };
    const std::array<pybind11::ssize_t, 3> shape{rows_sheets_cols[0], rows_sheets_cols[1],
                                                 rows_sheets_cols[2]};
    const std::array<pybind11::ssize_t, 3> strides{bytes(next_row), bytes(next_sheet),
                                                   static_cast<pybind11::ssize_t>(sizeof(Real))};
    pybind11::array view(pybind11::dtype::of<Real>(), shape, strides, first, owner);
    view.attr("flags").attr("writeable") = false;
    return view;
}

/// Cells or faces of every sheet, over the solver's memory; `row_of(solver, sheet, row)` points to column 0,
/// `more_rows` and `more_cols` tell by how many faces outnumber cells.
template <class Real, class RowOf>
pybind11::array solver_view(const StackSolver<Real>& solver, pybind11::handle owner, std::int32_t more_rows,
                            std::int32_t more_cols, RowOf row_of) {
    const Real* first = row_of(solver, 0, 0);
    const Real* next_sheet = solver.sheets() > 1 ? row_of(solver, 1, 0) : first;
    return sheets_view<Real>(
        first, next_sheet, row_of(solver, 0, 1),
        {solver.grid().rows + more_rows, solver.sheets(), solver.grid().cols + more_cols}, owner);
}

template <class Real>
pybind11::array thickness_view(const StackSolver<Real>& solver, pybind11::handle owner) {
    return solver_view(solver, owner, 0, 0,
                       [](const auto& s, int k, std::int32_t j) { return s.thickness_row(k, j); });
}

template <class Real>
pybind11::array velocity_x_view(const StackSolver<Real>& solver, pybind11::handle owner) {
    return solver_view(solver, owner, 0, 1,
                       [](const auto& s, int k, std::int32_t j) { return s.velocity_x_row(k, j); });
}

template <class Real>
pybind11::array velocity_y_view(const StackSolver<Real>& solver, pybind11::handle owner) {
    return solver_view(solver, owner, 1, 0,
                       [](const auto& s, int k, std::int32_t j) { return s.velocity_y_row(k, j); });
}

void bind_night(pybind11::module_& module);
void bind_site(pybind11::module_& module);
void bind_stack(pybind11::module_& module);

}  // namespace lielow
