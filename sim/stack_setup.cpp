// SPDX-License-Identifier: Apache-2.0
#include "sim/stack_setup.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace lielow {
namespace {

/// A rise of the bed that no sheet climbs: closes an edge.
constexpr double wall_height = 1e6;

}  // namespace

template <class Real>
CellPlane<Real>::CellPlane(const Grid& grid, double value) {
    constexpr std::int32_t rim = SheetArray<Real>::rim;
    const std::ptrdiff_t stride = SheetArray<Real>::padded(grid.cols);
    const std::ptrdiff_t size = stride * (grid.rows + 2 * rim);
    first_ = rim * stride + SheetArray<Real>::lead();
    size_ = static_cast<std::size_t>(size);
    data_ = std::make_unique_for_overwrite<Real[]>(size_);
    std::fill_n(data_.get(), size, static_cast<Real>(value));
}

template <class Real>
CellPlane<Real>::CellPlane(const Grid& grid, const Field<float>& values) : CellPlane(grid, 0.0) {
    const std::ptrdiff_t stride = SheetArray<Real>::padded(grid.cols);
    for (std::int32_t j = -1; j <= grid.rows; ++j) {
        const std::int32_t row = std::clamp(j, 0, grid.rows - 1);
        for (std::int32_t i = -1; i <= grid.cols; ++i)
            cells()[j * stride + i] = static_cast<Real>(values(row, std::clamp(i, 0, grid.cols - 1)));
    }
}

template <class Real>
Sweep<Real> sweep_constants(const Grid& grid, const StackParameters& p) {
    Sweep<Real> s;
    s.rows = grid.rows;
    s.cols = grid.cols;
    s.sheets = static_cast<int>(p.buoyancy.size());
    s.order = p.order;
    s.stride = SheetArray<Real>::padded(grid.cols);
    s.row_stride = s.stride * s.sheets;
    for (std::size_t k = 0; k < p.buoyancy.size(); ++k) {
        s.buoyancy[k] = static_cast<Real>(p.buoyancy[k]);
        s.inverse_buoyancy[k] = static_cast<Real>(1.0 / p.buoyancy[k]);
    }
    s.inverse_dx = static_cast<Real>(1.0 / grid.dx);
    s.inverse_dy = static_cast<Real>(1.0 / grid.dy);
    const double x = grid.cols > 1 ? 1.0 / grid.dx : 0.0;
    const double y = grid.rows > 1 ? 1.0 / grid.dy : 0.0;
    s.wave_factor = static_cast<Real>(std::sqrt(x * x + y * y));
    s.exchange = p.exchange.active;
    s.mixing = static_cast<Real>(p.exchange.mixing);
    s.sheet_step = static_cast<Real>(p.exchange.sheet_step);
    s.gap_floor = static_cast<Real>(p.exchange.gap_floor);
    s.roughness = static_cast<Real>(p.exchange.roughness);
    s.drag_law = p.drag_law;
    s.deep_drag = static_cast<Real>(p.deep_roughness.coefficient);
    s.thin_to = static_cast<Real>(p.deep_roughness.thin_to);
    s.thin_to_deep = static_cast<Real>(1 / (p.deep_roughness.deep_from - p.deep_roughness.thin_to));
    s.drag_height = static_cast<Real>(p.drag_height);
    s.interface_drag = static_cast<Real>(p.interface_drag);
    s.momentum_mixing = static_cast<Real>(p.momentum_mixing);
    s.wind_x = static_cast<Real>(p.wind_x);
    s.wind_y = static_cast<Real>(p.wind_y);
    return s;
}

template <class Real>
CellPlane<Real> bed_steps(const Grid& grid, const Field<double>& ground, const Edges& edges,
                          bool along_rows) {
    CellPlane<Real> plane(grid, 0.0);
    const std::ptrdiff_t stride = SheetArray<Real>::padded(grid.cols);
    Real* step = plane.cells();
    const auto set = [&](std::int32_t j, std::int32_t i, double rise) {
        step[j * stride + i] = static_cast<Real>(rise);
    };
    const std::int32_t first_row = along_rows ? 0 : 1;
    const std::int32_t first_col = along_rows ? 1 : 0;
    for (std::int32_t j = first_row; j < grid.rows; ++j) {
        for (std::int32_t i = first_col; i < grid.cols; ++i)
            set(j, i, ground(j, i) - ground(j - first_row, i - first_col));
    }
    for (std::int32_t j = 0; along_rows && j < grid.rows; ++j) {
        if (edges.west == EdgeKind::wall) set(j, 0, -wall_height);
        if (edges.east == EdgeKind::wall) set(j, grid.cols, wall_height);
    }
    for (std::int32_t i = 0; !along_rows && i < grid.cols; ++i) {
        if (edges.north == EdgeKind::wall) set(0, i, -wall_height);
        if (edges.south == EdgeKind::wall) set(grid.rows, i, wall_height);
    }
    return plane;
}

template <class Real>
double longest_step(const SweepRates<Real>& rates, double courant, double outflow) {
    const double rate = static_cast<double>(rates.courant_x) + static_cast<double>(rates.courant_y);
    const double out = static_cast<double>(rates.outflow_x) + static_cast<double>(rates.outflow_y);
    double dt = std::numeric_limits<double>::infinity();
    if (rate > 0) dt = std::min(dt, courant / rate);
    if (out > 0) dt = std::min(dt, 0.5 * outflow / out);
    return dt;
}

template <class Real>
SweepRates<Real> first_rates(const Sweep<Real>& s, const SheetArray<Real>& h, const SheetArray<Real>& u,
                             const SheetArray<Real>& v) {
    Real fastest_x = 0;
    Real fastest_y = 0;
    Real weight = 0;
    for (std::int32_t j = -1; j <= s.rows; ++j) {
        for (std::int32_t i = -1; i <= s.cols; ++i) {
            Real cell = 0;
            for (int k = 0; k < s.sheets; ++k) {
                cell += s.buoyancy[k] * h.row(j, k)[i];
                if (i >= 0) fastest_x = std::max(fastest_x, std::abs(u.row(j, k)[i]));
                if (j >= 0) fastest_y = std::max(fastest_y, std::abs(v.row(j, k)[i]));
            }
            weight = std::max(weight, cell);
        }
    }
    SweepRates<Real> rates;
    const Real half_wave = Real(0.5) * std::sqrt(weight) * s.wave_factor;
    rates.outflow_x = fastest_x * s.inverse_dx;
    rates.outflow_y = fastest_y * s.inverse_dy;
    rates.courant_x = rates.outflow_x + half_wave;
    rates.courant_y = rates.outflow_y + half_wave;
    return rates;
}

template class CellPlane<float>;
template class CellPlane<double>;
template Sweep<float> sweep_constants(const Grid&, const StackParameters&);
template Sweep<double> sweep_constants(const Grid&, const StackParameters&);
template CellPlane<float> bed_steps(const Grid&, const Field<double>&, const Edges&, bool);
template CellPlane<double> bed_steps(const Grid&, const Field<double>&, const Edges&, bool);
template double longest_step(const SweepRates<float>&, double, double);
template double longest_step(const SweepRates<double>&, double, double);
template SweepRates<float> first_rates(const Sweep<float>&, const SheetArray<float>&,
                                       const SheetArray<float>&, const SheetArray<float>&);
template SweepRates<double> first_rates(const Sweep<double>&, const SheetArray<double>&,
                                        const SheetArray<double>&, const SheetArray<double>&);

}  // namespace lielow
