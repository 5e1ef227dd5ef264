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
    return deficit_at(night.scale, column, static_cast<int>(night.coldest_height.size()), plant_height_m);
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

double mean_at(const Field<float>& values, const Grid& grid, std::span<const NightPlace> places,
               const Grid& places_grid, double east_m, double south_m) {
    double sum = 0;
    for (const NightPlace& place : places) {
        const auto row = static_cast<std::int32_t>((south_m + place.row * places_grid.dy) / grid.dy);
        const auto col = static_cast<std::int32_t>((east_m + place.col * places_grid.dx) / grid.dx);
        sum +=
            static_cast<double>(values(std::clamp(row, 0, grid.rows - 1), std::clamp(col, 0, grid.cols - 1)));
    }
    return places.empty() ? std::numeric_limits<double>::quiet_NaN()
                          : sum / static_cast<double>(places.size());
}

}  // namespace lielow
