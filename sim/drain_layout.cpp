// SPDX-License-Identifier: Apache-2.0
#include "sim/drain_layout.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "sim/drain_spacing.hpp"

namespace lielow {
namespace {

constexpr float none = std::numeric_limits<float>::quiet_NaN();

void make_room(const Grid& grid, GroundDrains& drains) {
    for (Field<float>* field : {&drains.drain_depth_m, &drains.ditch_depth_m}) {
        if (field->empty()) *field = Field<float>(grid.rows, grid.cols, none);
    }
    for (Field<float>* field : {&drains.linear_m2_s, &drains.square_m_s}) {
        if (field->empty()) *field = Field<float>(grid.rows, grid.cols, 0.0F);
    }
}

void deepen(float& depth, double other) {
    depth = std::isnan(depth) ? static_cast<float>(other) : std::max(depth, static_cast<float>(other));
}

void lay_link(const DrainLine& line, std::size_t cell, double length, const Soil& soil,
              GroundDrains& drains) {
    const auto floor = static_cast<double>(soil.floor_depth_m[cell]);
    const double depth = std::min(line.depth_m, floor);
    if (line.ditch) return deepen(drains.ditch_depth_m[cell], depth);
    const double most = line.spacing_m > 0 ? line.spacing_m / 4 : std::numeric_limits<double>::infinity();
    const double each = radial_conductance_m_s(static_cast<double>(soil.conductivity_m_s[cell]),
                                               std::min(floor - depth, most), line.radius_m);
    if (std::isinf(each)) return deepen(drains.ditch_depth_m[cell], depth);
    deepen(drains.drain_depth_m[cell], depth);
    drains.linear_m2_s[cell] += static_cast<float>(each * length);
}

}  // namespace

void lay_lines(const Grid& grid, const Soil& soil, std::span<const DrainLine> lines, GroundDrains& drains) {
    if (lines.empty()) return;
    make_room(grid, drains);
    for (const DrainLine& line : lines) {
        for (const Polyline& part : line.lines) {
            for (const ChainLink& link : line_cells(part, grid))
                lay_link(line, grid.index(link.row, link.col), link.to_m - link.from_m, soil, drains);
        }
    }
}

void lay_pattern(const Grid& grid, const Soil& soil, std::span<const std::uint32_t> cells,
                 std::span<const float> share, double depth_m, double spacing_m, double radius_m,
                 GroundDrains& drains) {
    make_room(grid, drains);
    const double per_spacing = grid.cell_area() / (spacing_m * spacing_m);
    for (std::size_t i = 0; i < cells.size(); ++i) {
        const std::uint32_t cell = cells[i];
        if (!std::isnan(drains.drain_depth_m[cell])) continue;
        const auto floor = static_cast<double>(soil.floor_depth_m[cell]);
        const double depth = std::min(depth_m, floor);
        const double d = floor > depth ? equivalent_depth(floor - depth, spacing_m, radius_m) : 0.0;
        const double k = static_cast<double>(soil.conductivity_m_s[cell]) * static_cast<double>(share[i]);
        drains.drain_depth_m[cell] = static_cast<float>(depth);
        drains.linear_m2_s[cell] = static_cast<float>(8 * k * d * per_spacing);
        drains.square_m_s[cell] = static_cast<float>(4 * k * per_spacing);
    }
}

}  // namespace lielow
