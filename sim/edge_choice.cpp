// SPDX-License-Identifier: Apache-2.0
#include "sim/edge_choice.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "sim/errors.hpp"

namespace lielow {
namespace {

double coldest_deficit(const NightResult& night, std::size_t cell, double plant_height_m) {
    float column[StackParameters::most_sheets];
    for (std::size_t k = 0; k < night.coldest_height.size(); ++k) column[k] = night.coldest_height[k][cell];
    const ColumnScale scale{night.scale.sheet_step, static_cast<double>(night.coldest_gradient[cell])};
    return deficit_at(scale, column, static_cast<int>(night.coldest_height.size()), plant_height_m);
}

}  // namespace

EdgeKind other_edges(EdgeKind own) {
    return own == EdgeKind::open ? EdgeKind::far_field : EdgeKind::open;
}

Field<float> coldest_difference(const NightResult& one, const NightResult& other, double plant_height_m) {
    if (one.plan.grid != other.plan.grid) throw InputError("nights on different cells can't be compared");
    Field<float> difference(one.plan.grid.rows, one.plan.grid.cols);
    for (std::size_t c = 0; c < difference.size(); ++c) {
        difference[c] = static_cast<float>(
            std::abs(coldest_deficit(one, c, plant_height_m) - coldest_deficit(other, c, plant_height_m)));
    }
    return difference;
}

double mean_over(const Field<float>& values, const Grid& grid, const FieldCells& field, const Grid& cells,
                 double east_m, double south_m) {
    if (field.cells.empty()) return std::numeric_limits<double>::quiet_NaN();
    double sum = 0;
    for (const std::size_t cell : field.cells) {
        const auto cols = static_cast<std::size_t>(cells.cols);
        const double y = south_m + (static_cast<double>(cell / cols) + 0.5) * cells.dy;
        const double x = east_m + (static_cast<double>(cell % cols) + 0.5) * cells.dx;
        const auto row = std::clamp(static_cast<std::int32_t>(y / grid.dy), 0, grid.rows - 1);
        const auto col = std::clamp(static_cast<std::int32_t>(x / grid.dx), 0, grid.cols - 1);
        sum += static_cast<double>(values(row, col));
    }
    return sum / static_cast<double>(field.cells.size());
}

}  // namespace lielow
