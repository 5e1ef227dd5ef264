// SPDX-License-Identifier: Apache-2.0
#include "sim/water_table_cells.hpp"

#include <algorithm>
#include <cmath>
#include <string>

#include "sim/errors.hpp"

namespace lielow {
namespace {

void check_shape(const Grid& grid, const Field<float>& field, const char* name) {
    if (field.rows() == grid.rows && field.cols() == grid.cols) return;
    throw InputError(std::string(name) + " has another shape than the ground; give one value a cell");
}

void check_positive(const Grid& grid, std::size_t cell, float value, const char* name) {
    if (std::isfinite(value) && value > 0) return;
    const auto cols = static_cast<std::size_t>(grid.cols);
    throw InputError(std::string(name) + " must be above 0 wherever there is ground; row " +
                     std::to_string(cell / cols) + ", column " + std::to_string(cell % cols) + " has " +
                     std::to_string(static_cast<double>(value)));
}

/// Numbers the cells with ground and finds their neighbours.
void number_cells(WaterTableCells& cells, const Field<float>& z) {
    const Grid& grid = cells.grid;
    std::vector<std::int32_t> number(grid.cells(), kNoCell);
    for (std::size_t c = 0; c < grid.cells(); ++c) {
        if (!std::isfinite(z[c])) continue;
        number[c] = static_cast<std::int32_t>(cells.cell.size());
        cells.cell.push_back(static_cast<std::uint32_t>(c));
    }
    const auto at = [&](std::int32_t row, std::int32_t col) {
        return grid.contains(row, col) ? number[grid.index(row, col)] : kNoCell;
    };
    cells.neighbour.resize(cells.size());
    for (std::size_t i = 0; i < cells.size(); ++i) {
        const auto row = static_cast<std::int32_t>(cells.cell[i] / static_cast<std::uint32_t>(grid.cols));
        const auto col = static_cast<std::int32_t>(cells.cell[i] % static_cast<std::uint32_t>(grid.cols));
        cells.neighbour[i] = {at(row - 1, col), at(row, col - 1), at(row, col + 1), at(row + 1, col)};
    }
}

/// Resistances in series: half a cell of each soil.
double between(double k, double k_other) {
    return 2 * k * k_other / (k + k_other);
}

void set_conductances(WaterTableCells& cells, const Soil& soil) {
    const Grid& grid = cells.grid;
    const auto conductivity = [&](std::size_t i) {
        return static_cast<double>(soil.conductivity_m_s[cells.cell[i]]);
    };
    const auto towards = [&](std::size_t i, CellSide side, double width_over_distance) {
        const std::int32_t other = cells.neighbour[i][side];
        if (other == kNoCell) return 0.0;
        return between(conductivity(i), conductivity(static_cast<std::size_t>(other))) * width_over_distance;
    };
    cells.east.resize(cells.size());
    cells.south.resize(cells.size());
    for (std::size_t i = 0; i < cells.size(); ++i) {
        cells.east[i] = towards(i, kEast, grid.dy / grid.dx);
        cells.south[i] = towards(i, kSouth, grid.dx / grid.dy);
    }
}

/// Over a side without a neighbour water runs out as fast as the floor falls that way, measured from the
/// opposite neighbour; level or rising floor there is a wall.
void set_edges(WaterTableCells& cells, const Soil& soil) {
    const Grid& grid = cells.grid;
    cells.edge.assign(cells.size(), 0.0);
    for (std::size_t i = 0; i < cells.size(); ++i) {
        const double k = static_cast<double>(soil.conductivity_m_s[cells.cell[i]]);
        for (const CellSide side : {kNorth, kWest, kEast, kSouth}) {
            const std::int32_t inner = cells.neighbour[i][3 - side];
            if (cells.neighbour[i][side] != kNoCell || inner == kNoCell) continue;
            const bool along_row = side == kWest || side == kEast;
            const double ratio = along_row ? grid.dy / grid.dx : grid.dx / grid.dy;
            const double fall = cells.floor[static_cast<std::size_t>(inner)] - cells.floor[i];
            cells.edge[i] += k * ratio * std::max(fall, 0.0);
        }
    }
}

float value_or_nan(const Field<float>& field, std::size_t cell) {
    return field.empty() ? std::nanf("") : field[cell];
}

void set_drains(WaterTableCells& cells, const GroundDrains& drains) {
    const bool pipes = !drains.drain_depth_m.empty();
    if (pipes) {
        cells.drain_level.assign(cells.size(), 0.0);
        cells.drain_linear.assign(cells.size(), 0.0);
        cells.drain_square.assign(cells.size(), 0.0);
    }
    for (std::size_t i = 0; i < cells.size(); ++i) {
        const std::size_t cell = cells.cell[i];
        const float ditch = value_or_nan(drains.ditch_depth_m, cell);
        if (ditch > 0) cells.cap[i] = std::max(0.0, cells.depth[i] - static_cast<double>(ditch));
        if (!pipes || std::isnan(drains.drain_depth_m[cell])) continue;
        const auto or_none = [cell](const Field<float>& field) {
            const float value = value_or_nan(field, cell);
            return std::isnan(value) ? 0.0 : static_cast<double>(value);
        };
        cells.drain_level[i] =
            std::max(0.0, cells.depth[i] - static_cast<double>(drains.drain_depth_m[cell]));
        cells.drain_linear[i] = or_none(drains.linear_m2_s);
        cells.drain_square[i] = or_none(drains.square_m_s);
    }
}

void check(const Grid& grid, const Field<float>& z, const Soil& soil, const GroundDrains& drains) {
    check_shape(grid, z, "the elevation");
    check_shape(grid, soil.conductivity_m_s, "the conductivity");
    check_shape(grid, soil.drainable_porosity, "the drainable porosity");
    check_shape(grid, soil.floor_depth_m, "the depth of the restrictive layer");
    for (const auto& [field, name] : {std::pair{&drains.drain_depth_m, "the drains' depth"},
                                      {&drains.linear_m2_s, "the drains' conductance"},
                                      {&drains.square_m_s, "the drains' square term"},
                                      {&drains.ditch_depth_m, "the ditches' depth"}}) {
        if (!field->empty()) check_shape(grid, *field, name);
    }
    for (std::size_t c = 0; c < grid.cells(); ++c) {
        if (!std::isfinite(z[c])) continue;
        check_positive(grid, c, soil.conductivity_m_s[c], "the conductivity");
        check_positive(grid, c, soil.drainable_porosity[c], "the drainable porosity");
        check_positive(grid, c, soil.floor_depth_m[c], "the depth of the restrictive layer");
    }
}

}  // namespace

WaterTableCells water_table_cells(const Grid& grid, const Field<float>& z, const Soil& soil,
                                  const GroundDrains& drains) {
    check(grid, z, soil, drains);
    WaterTableCells cells;
    cells.grid = grid;
    number_cells(cells, z);
    for (const std::uint32_t c : cells.cell) {
        const auto depth = static_cast<double>(soil.floor_depth_m[c]);
        cells.floor.push_back(static_cast<double>(z[c]) - depth);
        cells.depth.push_back(depth);
        cells.store.push_back(grid.cell_area() * static_cast<double>(soil.drainable_porosity[c]));
    }
    cells.cap = cells.depth;
    set_conductances(cells, soil);
    set_edges(cells, soil);
    set_drains(cells, drains);
    return cells;
}

}  // namespace lielow
