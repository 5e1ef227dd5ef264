// SPDX-License-Identifier: Apache-2.0
#include "sim/stack_edges.hpp"

#include <algorithm>
#include <cmath>

#include "sim/van_leer.hpp"

namespace lielow {
namespace {

/// Outside a corner: as beside it along the rows; where both sides are given, between the two.
template <class Real>
Real corner(EdgeKind along_row, Real in_row, EdgeKind along_col, Real in_col) {
    const bool both = along_row == EdgeKind::given && along_col == EdgeKind::given;
    return both ? Real(0.5) * (in_row + in_col) : in_row;
}

}  // namespace

template <class Real>
StackEdges<Real>::StackEdges(const Grid& grid, const Field<double>& ground, const StackParameters& p)
    : grid_(grid),
      sheets_(static_cast<int>(p.buoyancy.size())),
      second_(p.order == SchemeOrder::second),
      top_buoyancy_(p.buoyancy.front()),
      kinds_{p.edges.west, p.edges.east, p.edges.north, p.edges.south},
      far_height_(p.buoyancy.size(), 0.0) {
    for (std::int32_t j = 0; j < grid.rows; ++j) {
        ground_[static_cast<std::size_t>(Side::west)].push_back(ground(j, 0));
        ground_[static_cast<std::size_t>(Side::east)].push_back(ground(j, grid.cols - 1));
    }
    for (std::int32_t i = 0; i < grid.cols; ++i) {
        ground_[static_cast<std::size_t>(Side::north)].push_back(ground(0, i));
        ground_[static_cast<std::size_t>(Side::south)].push_back(ground(grid.rows - 1, i));
    }
}

template <class Real>
void StackEdges<Real>::set_far_field(std::span<const double> isotherm_height, double elevation, double fill) {
    for (std::size_t k = 0; k < far_height_.size(); ++k)
        far_height_[k] = k < isotherm_height.size() ? isotherm_height[k] : 0;
    far_elevation_ = elevation;
    far_fill_ = fill;
}

template <class Real>
void StackEdges<Real>::set_inflow(Side side, double discharge, double depth) {
    inflow_[static_cast<std::size_t>(side)] = {discharge, depth};
}

template <class Real>
void StackEdges<Real>::fill_column(Side side, std::size_t place, std::ptrdiff_t stride, const Real* edge,
                                   Real* ghost) const {
    switch (kind(side)) {
        case EdgeKind::wall:
            for (int k = 0; k < sheets_; ++k) ghost[k * stride] = 0;
            return;
        case EdgeKind::open:
            for (int k = 0; k < sheets_; ++k) ghost[k * stride] = edge[k * stride];
            return;
        case EdgeKind::inflow: {
            const Inflow& in = inflow_[static_cast<std::size_t>(side)];
            for (int k = 1; k < sheets_; ++k) ghost[k * stride] = edge[k * stride];
            const double critical = std::cbrt(in.discharge * in.discharge / top_buoyancy_);
            const double depth = in.depth > 0 ? in.depth : std::max(static_cast<double>(edge[0]), critical);
            ghost[0] = static_cast<Real>(depth);
            return;
        }
        case EdgeKind::given:
            fill_given(side, place, stride, ghost);
            return;
        case EdgeKind::far_field:
            break;
    }
    const double rise = ground_[static_cast<std::size_t>(side)][place] - far_elevation_;
    double below = 0;
    bool lowest = true;
    for (int k = sheets_ - 1; k >= 0; --k) {
        double height = far_height_[static_cast<std::size_t>(k)];
        if (height > 0) {
            height = std::max(0.0, height - rise * (lowest && rise < 0 ? far_fill_ : 1.0));
            lowest = false;
        }
        ghost[k * stride] = static_cast<Real>(std::max(0.0, height - below));
        below = std::max(below, height);
    }
}

template <class Real>
void StackEdges<Real>::set_outside(Side side, const SideOutside& outside) {
    Given& given = given_[static_cast<std::size_t>(side)];
    const auto copy = [](std::span<const float> from, std::vector<Real>& to) {
        to.assign(from.begin(), from.end());
    };
    copy(outside.thickness, given.thickness);
    copy(outside.velocity_x, given.velocity_x);
    copy(outside.velocity_y, given.velocity_y);
    // Sweeps pass over sheets that are absent and count on their standing still.
    for (std::size_t n = 0; n < given.thickness.size(); ++n) {
        if (!(given.thickness[n] > 0)) given.velocity_x[n] = given.velocity_y[n] = 0;
    }
}

template <class Real>
void StackEdges<Real>::fill_given(Side side, std::size_t place, std::ptrdiff_t stride, Real* ghost) const {
    const std::vector<Real>& thickness = given_[static_cast<std::size_t>(side)].thickness;
    const std::size_t places = ground_[static_cast<std::size_t>(side)].size();
    for (int k = 0; k < sheets_; ++k) {
        ghost[k * stride] =
            thickness.empty() ? Real(0) : thickness[static_cast<std::size_t>(k) * places + place];
    }
}

template <class Real>
void StackEdges<Real>::give_velocities(SheetArray<Real>& u, SheetArray<Real>& v) const {
    const std::int32_t rows = grid_.rows;
    const std::int32_t cols = grid_.cols;
    const auto speed = [&](Side side, const std::vector<Real> Given::*which, int k, std::int32_t place) {
        const std::vector<Real>& values = given_[static_cast<std::size_t>(side)].*which;
        const std::size_t places = ground_[static_cast<std::size_t>(side)].size();
        return values.empty()
                   ? Real(0)
                   : values[static_cast<std::size_t>(k) * places + static_cast<std::size_t>(place)];
    };
    for (int k = 0; k < sheets_; ++k) {
        for (const Side side : {Side::west, Side::east}) {
            if (kind(side) != EdgeKind::given) continue;
            const bool west = side == Side::west;
            for (std::int32_t j = 0; j <= rows; ++j) {
                const std::int32_t place = std::min(j, rows - 1);
                Real* x = u.row(j, k) + (west ? -2 : cols + 1);
                Real* y = v.row(j, k) + (west ? -2 : cols);
                if (j < rows) x[0] = x[1] = speed(side, &Given::velocity_x, k, place);
                y[0] = y[1] = speed(side, &Given::velocity_y, k, place);
            }
        }
        for (const Side side : {Side::north, Side::south}) {
            if (kind(side) != EdgeKind::given) continue;
            const bool north = side == Side::north;
            for (const std::int32_t outside : {1, 2}) {
                Real* x = u.row(north ? -outside : rows - 1 + outside, k);
                Real* y = v.row(north ? -outside : rows + outside, k);
                for (std::int32_t i = 0; i <= cols; ++i) {
                    const std::int32_t place = std::min(i, cols - 1);
                    x[i] = speed(side, &Given::velocity_x, k, place);
                    if (i < cols) y[i] = speed(side, &Given::velocity_y, k, place);
                }
            }
        }
    }
}

template <class Real>
void StackEdges<Real>::fill_cells(SheetArray<Real>& h) const {
    const std::int32_t rows = grid_.rows;
    const std::int32_t cols = grid_.cols;
    const std::ptrdiff_t n = h.stride();
    for (std::int32_t j = 0; j < rows; ++j) {
        const auto place = static_cast<std::size_t>(j);
        Real* row = h.row(j);
        fill_column(Side::west, place, n, row, row - 1);
        fill_column(Side::east, place, n, row + cols - 1, row + cols);
    }
    for (std::int32_t i = 0; i < cols; ++i) {
        const auto place = static_cast<std::size_t>(i);
        fill_column(Side::north, place, n, h.row(0) + i, h.row(-1) + i);
        fill_column(Side::south, place, n, h.row(rows - 1) + i, h.row(rows) + i);
    }
    for (int k = 0; k < sheets_; ++k) {
        for (std::int32_t j = -1; j <= rows; ++j) {
            Real* row = h.row(j, k);
            if (j < 0 || j == rows) {
                const Real* beside = h.row(j < 0 ? 0 : rows - 1, k);
                const EdgeKind along = kind(j < 0 ? Side::north : Side::south);
                row[-1] = corner(along, row[0], kind(Side::west), beside[-1]);
                row[cols] = corner(along, row[cols - 1], kind(Side::east), beside[cols]);
            }
            row[-2] = second_ghost(Side::west, row[0], row[-1]);
            row[cols + 1] = second_ghost(Side::east, row[cols - 1], row[cols]);
        }
        for (std::int32_t i = -2; i < cols + 2; ++i) {
            h.row(-2, k)[i] = second_ghost(Side::north, h.row(0, k)[i], h.row(-1, k)[i]);
            h.row(rows + 1, k)[i] = second_ghost(Side::south, h.row(rows - 1, k)[i], h.row(rows, k)[i]);
        }
    }
}

template <class Real>
Real StackEdges<Real>::second_ghost(Side side, Real edge, Real ghost) const {
    const bool sloping = second_ && kind(side) == EdgeKind::inflow;
    return sloping ? std::max(2 * ghost - edge, Real(0)) : ghost;
}

template <class Real>
Real StackEdges<Real>::inflow_speed(Side side, Real edge, Real ghost, Real beyond) const {
    const double discharge = inflow_[static_cast<std::size_t>(side)].discharge;
    Real depth = ghost;
    if (second_) depth += Real(0.5) * limited(ghost - beyond, edge - ghost);
    return depth > 0 ? static_cast<Real>(discharge / static_cast<double>(depth)) : Real(0);
}

template <class Real>
void StackEdges<Real>::fill_faces(const SheetArray<Real>& h, SheetArray<Real>& u, SheetArray<Real>& v) const {
    const std::int32_t rows = grid_.rows;
    const std::int32_t cols = grid_.cols;
    for (int k = 0; k < sheets_; ++k) {
        for (std::int32_t j = 0; j < rows; ++j) {
            Real* speed = u.row(j, k);
            if (kind(Side::west) == EdgeKind::open) speed[0] = std::min(speed[cols > 1 ? 1 : 0], Real(0));
            if (kind(Side::east) == EdgeKind::open)
                speed[cols] = std::max(speed[cols > 1 ? cols - 1 : cols], Real(0));
        }
        for (std::int32_t i = 0; i < cols; ++i) {
            Real* first = v.row(0, k) + i;
            Real* last = v.row(rows, k) + i;
            if (kind(Side::north) == EdgeKind::open)
                *first = std::min(v.row(rows > 1 ? 1 : 0, k)[i], Real(0));
            if (kind(Side::south) == EdgeKind::open)
                *last = std::max(v.row(rows > 1 ? rows - 1 : rows, k)[i], Real(0));
        }
    }
    for (std::int32_t j = 0; j < rows; ++j) {
        const Real* row = h.row(j);
        const Real* end = row + cols;
        if (kind(Side::west) == EdgeKind::inflow)
            u.row(j)[0] = inflow_speed(Side::west, row[0], row[-1], row[-2]);
        if (kind(Side::east) == EdgeKind::inflow)
            u.row(j)[cols] = -inflow_speed(Side::east, end[-1], end[0], end[1]);
    }
    for (std::int32_t i = 0; i < cols; ++i) {
        const auto at = [&h, i](std::int32_t row) { return h.row(row)[i]; };
        if (kind(Side::north) == EdgeKind::inflow)
            v.row(0)[i] = inflow_speed(Side::north, at(0), at(-1), at(-2));
        if (kind(Side::south) == EdgeKind::inflow)
            v.row(rows)[i] = -inflow_speed(Side::south, at(rows - 1), at(rows), at(rows + 1));
    }
}

template <class Real>
void StackEdges<Real>::repeat_faces(SheetArray<Real>& on_x, SheetArray<Real>& on_y) const {
    const std::int32_t rows = grid_.rows;
    const std::int32_t cols = grid_.cols;
    for (int k = 0; k < sheets_; ++k) {
        for (std::int32_t j = 0; j < rows; ++j) {
            Real* x = on_x.row(j, k);
            x[-2] = x[-1] = x[0];
            x[cols + 2] = x[cols + 1] = x[cols];
        }
        for (std::int32_t j = 0; j <= rows; ++j) {
            Real* y = on_y.row(j, k);
            y[-2] = y[-1] = y[0];
            y[cols + 1] = y[cols] = y[cols - 1];
        }
        for (const std::int32_t outside : {1, 2}) {
            std::copy_n(on_x.row(0, k) - 2, cols + 5, on_x.row(-outside, k) - 2);
            std::copy_n(on_x.row(rows - 1, k) - 2, cols + 5, on_x.row(rows - 1 + outside, k) - 2);
            std::copy_n(on_y.row(0, k) - 2, cols + 4, on_y.row(-outside, k) - 2);
            std::copy_n(on_y.row(rows, k) - 2, cols + 4, on_y.row(rows + outside, k) - 2);
        }
    }
}

template <class Real>
void StackEdges<Real>::slope_inflow(SheetArray<Real>& u, SheetArray<Real>& v) const {
    const std::int32_t rows = grid_.rows;
    const std::int32_t cols = grid_.cols;
    const auto extend = [](const Real edge, const Real inside, Real& first, Real& second) {
        first = 2 * edge - inside;
        second = 3 * edge - 2 * inside;
    };
    for (std::int32_t j = 0; j < rows; ++j) {
        Real* x = u.row(j);
        if (kind(Side::west) == EdgeKind::inflow) extend(x[0], x[1], x[-1], x[-2]);
        if (kind(Side::east) == EdgeKind::inflow) extend(x[cols], x[cols - 1], x[cols + 1], x[cols + 2]);
    }
    for (std::int32_t i = 0; i < cols; ++i) {
        const auto y = [&v, i](std::int32_t face) -> Real& { return v.row(face)[i]; };
        if (kind(Side::north) == EdgeKind::inflow) extend(y(0), y(1), y(-1), y(-2));
        if (kind(Side::south) == EdgeKind::inflow) extend(y(rows), y(rows - 1), y(rows + 1), y(rows + 2));
    }
}

template <class Real>
void StackEdges<Real>::repeat_velocities(SheetArray<Real>& u, SheetArray<Real>& v) const {
    repeat_faces(u, v);
    if (second_) slope_inflow(u, v);
    const std::int32_t rows = grid_.rows;
    const std::int32_t cols = grid_.cols;
    for (int k = 0; k < sheets_; ++k) {
        for (std::int32_t j = -2; j <= rows + 2; ++j) {
            Real* x = u.row(j, k);
            Real* y = v.row(j, k);
            if (kind(Side::west) == EdgeKind::far_field) x[-2] = x[-1] = y[-2] = y[-1] = 0;
            if (kind(Side::east) == EdgeKind::far_field)
                x[cols + 1] = x[cols + 2] = y[cols] = y[cols + 1] = 0;
        }
        for (const std::int32_t outside : {1, 2}) {
            if (kind(Side::north) == EdgeKind::far_field) {
                std::fill_n(u.row(-outside, k) - 2, cols + 5, Real(0));
                std::fill_n(v.row(-outside, k) - 2, cols + 4, Real(0));
            }
            if (kind(Side::south) == EdgeKind::far_field) {
                std::fill_n(u.row(rows - 1 + outside, k) - 2, cols + 5, Real(0));
                std::fill_n(v.row(rows + outside, k) - 2, cols + 4, Real(0));
            }
        }
    }
    give_velocities(u, v);
}

template <class Real>
void StackEdges<Real>::repeat_cells(SheetArray<Real>& in_cells) const {
    const std::int32_t rows = grid_.rows;
    const std::int32_t cols = grid_.cols;
    for (int k = 0; k < sheets_; ++k) {
        for (std::int32_t j = 0; j < rows; ++j) {
            Real* row = in_cells.row(j, k);
            row[-2] = row[-1] = row[0];
            row[cols + 1] = row[cols] = row[cols - 1];
        }
        for (const std::int32_t outside : {1, 2}) {
            std::copy_n(in_cells.row(0, k) - 2, cols + 4, in_cells.row(-outside, k) - 2);
            std::copy_n(in_cells.row(rows - 1, k) - 2, cols + 4, in_cells.row(rows - 1 + outside, k) - 2);
        }
    }
}

template <class Real>
void StackEdges<Real>::set_ghost_cells(SheetArray<Real>& in_cells, Real value) const {
    const std::int32_t rows = grid_.rows;
    const std::int32_t cols = grid_.cols;
    for (int k = 0; k < sheets_; ++k) {
        for (std::int32_t j = -2; j < rows + 2; ++j) {
            Real* row = in_cells.row(j, k);
            if (j < 0 || j >= rows) {
                std::fill_n(row - 2, cols + 4, value);
            } else {
                row[-2] = row[-1] = row[cols] = row[cols + 1] = value;
            }
        }
    }
}

template class StackEdges<float>;
template class StackEdges<double>;

}  // namespace lielow
