// SPDX-License-Identifier: Apache-2.0
// Figures of a raster over a zone, each cell weighted by the share of it that lies in the zone.
#pragma once

#include <cstdint>
#include <span>

#include "sim/grid.hpp"

namespace lielow {

/// A zone of the ground: cells and the share (0..1] of each that lies in it. Both spans have one length.
struct Zone {
    std::span<const std::uint32_t> cells;
    std::span<const float> share;
};

struct ZonalFigures {
    double least = 0;   ///< over every cell that has a value and a share
    double median = 0;  ///< half of the zone's area with a value lies at or below it
    double greatest = 0;
    double area_m2 = 0;      ///< of the zone on the ground
    double known_share = 0;  ///< of that area, 0..1: the share where the field has a value
};

/// NaN cells are left out; where none has a value the three figures are NaN. Where exactly half of the area
/// lies at or below a value, the median is the mean of it and the next, so that equal weights give the
/// ordinary median. 8 bytes a cell of the zone.
ZonalFigures zonal_figures(const Grid& grid, const Field<float>& field, const Zone& zone);

/// Area of the zone, m², where `condition(value)` holds; a cell without a value never counts.
template <class Condition>
double zonal_area(const Grid& grid, const Field<float>& field, const Zone& zone, Condition condition) {
    double cells = 0;
    for (std::size_t i = 0; i < zone.cells.size(); ++i) {
        const float value = field[zone.cells[i]];
        if (value == value && condition(value)) cells += static_cast<double>(zone.share[i]);
    }
    return cells * grid.cell_area();
}

}  // namespace lielow
