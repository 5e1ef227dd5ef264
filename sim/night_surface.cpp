// SPDX-License-Identifier: Apache-2.0
#include "sim/night_surface.hpp"

#include <algorithm>
#include <iterator>
#include <utility>

#include "sim/stack_solver.hpp"

namespace lielow {
namespace {

/// Changed cells with, for each, the cells beside it that are told already; ring by ring from the outside in.
using Told = std::pair<std::size_t, std::vector<std::size_t>>;

/// Neighbours of a cell, corners too, that are told.
std::vector<std::size_t> told_beside(const Field<std::uint8_t>& told, std::int32_t row, std::int32_t col) {
    std::vector<std::size_t> beside;
    for (std::int32_t j = std::max(row - 1, 0); j <= std::min(row + 1, told.rows() - 1); ++j) {
        for (std::int32_t i = std::max(col - 1, 0); i <= std::min(col + 1, told.cols() - 1); ++i) {
            if (told(j, i) != 0)
                beside.push_back(static_cast<std::size_t>(j) * static_cast<std::size_t>(told.cols()) +
                                 static_cast<std::size_t>(i));
        }
    }
    return beside;
}

std::vector<Told> ring_order(const Field<float>& raised) {
    std::vector<Told> order;
    Field<std::uint8_t> told(raised.rows(), raised.cols());
    std::vector<std::size_t> left;
    for (std::size_t c = 0; c < raised.size(); ++c) {
        told[c] = raised[c] != 0 ? 0 : 1;
        if (told[c] == 0) left.push_back(c);
    }
    const auto cols = static_cast<std::size_t>(raised.cols());
    for (bool found = true; found;) {
        std::vector<Told> ring;
        std::vector<std::size_t> further;
        for (const std::size_t c : left) {
            auto beside =
                told_beside(told, static_cast<std::int32_t>(c / cols), static_cast<std::int32_t>(c % cols));
            if (beside.empty()) {
                further.push_back(c);
            } else {
                ring.emplace_back(c, std::move(beside));
            }
        }
        for (const auto& [cell, beside] : ring) told[cell] = 1;
        found = !ring.empty();
        std::move(ring.begin(), ring.end(), std::back_inserter(order));
        left = std::move(further);
    }
    return order;
}

void tell(const std::vector<Told>& order, Field<float>& values) {
    for (const auto& [cell, beside] : order) {
        double sum = 0;
        for (const std::size_t c : beside) sum += static_cast<double>(values[c]);
        values[cell] = static_cast<float>(sum / static_cast<double>(beside.size()));
    }
}

}  // namespace

void CanopySum::put(NightSurface& surface) const {
    if (!any_) return;
    const std::int32_t rows = area_.rows();
    const std::int32_t cols = area_.cols();
    surface.canopy_top = Field<float>(rows, cols, 0.0F);
    surface.canopy_drag = Field<float>(rows, cols, 0.0F);
    for (std::size_t c = 0; c < area_.size(); ++c) {
        if (!(area_[c] > 0)) continue;
        const double top = moment_[c] / area_[c];
        surface.canopy_top[c] = static_cast<float>(top);
        surface.canopy_drag[c] = static_cast<float>(area_[c] / top);
    }
    const Field<float> own = surface.canopy_top.clone();
    for (std::int32_t j = 0; j < rows; ++j) {
        for (std::int32_t i = 0; i < cols; ++i) {
            if (area_(j, i) > 0) continue;
            float highest = 0;
            if (j > 0) highest = std::max(highest, own(j - 1, i));
            if (j + 1 < rows) highest = std::max(highest, own(j + 1, i));
            if (i > 0) highest = std::max(highest, own(j, i - 1));
            if (i + 1 < cols) highest = std::max(highest, own(j, i + 1));
            surface.canopy_top(j, i) = highest;
        }
    }
}

Field<double> raised_ground(const NightSurface& surface, const Field<double>& ground) {
    Field<double> raised = ground.clone();
    for (std::size_t c = 0; c < surface.raised.size(); ++c)
        raised[c] += static_cast<double>(surface.raised[c]);
    return raised;
}

void lay_surface(const NightSurface& surface, StackSolver<float>& solver) {
    if (!surface.canopy_top.empty()) solver.set_canopy(surface.canopy_top, surface.canopy_drag);
    if (!surface.ground_drag.empty()) solver.set_ground_drag(surface.ground_drag);
}

void read_beside_raised(const Field<float>& raised, std::vector<Field<float>>& heights) {
    if (raised.empty()) return;
    const auto order = ring_order(raised);
    for (Field<float>& height : heights) tell(order, height);
}

void read_beside_raised(const Field<float>& raised, Field<float>& values) {
    if (!raised.empty()) tell(ring_order(raised), values);
}

}  // namespace lielow
