// SPDX-License-Identifier: Apache-2.0
#include "sim/drain_directions.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

#include "sim/flat_drainage.hpp"

namespace lielow {
namespace {

std::array<double, 8> distances(const Grid& grid) {
    std::array<double, 8> distance{};
    for (std::size_t k = 0; k < 8; ++k)
        distance[k] = std::hypot(kNeighbours[k].down * grid.dy, kNeighbours[k].across * grid.dx);
    return distance;
}

std::uint8_t steepest(const Field<float>& surface, const std::array<double, 8>& distance, std::int32_t r,
                      std::int32_t c) {
    const float z = surface(r, c);
    if (std::isnan(z)) return kNoGround;
    std::uint8_t best = kUnset;
    double steepest = 0;
    for (std::uint8_t k = 0; k < 8; ++k) {
        const std::int32_t row = r + kNeighbours[k].down;
        const std::int32_t col = c + kNeighbours[k].across;
        const bool inside = row >= 0 && row < surface.rows() && col >= 0 && col < surface.cols();
        if (!inside || std::isnan(surface(row, col))) {
            if (best == kUnset) best = kOffGround;
            continue;
        }
        const double slope = (static_cast<double>(z) - static_cast<double>(surface(row, col))) / distance[k];
        if (slope > steepest) {
            steepest = slope;
            best = k;
        }
    }
    return best;
}

}  // namespace

Field<float> filled_ground(const Field<float>& z, const Catchments& catchments, const Hollows& hollows) {
    Field<float> filled(z.rows(), z.cols());
#pragma omp parallel for schedule(dynamic, 65536)
    for (std::size_t cell = 0; cell < z.size(); ++cell) {
        const std::int32_t c = catchments.of_cell[cell];
        filled[cell] =
            c < 0 ? z[cell] : std::max(z[cell], hollows.level_of_catchment[static_cast<std::size_t>(c)]);
    }
    return filled;
}

DrainDirections steepest_directions(const Grid& grid, Field<float>&& surface) {
    DrainDirections out;
    out.surface = std::move(surface);
    out.to = Field<std::uint8_t>(grid.rows, grid.cols);
    const std::array<double, 8> distance = distances(grid);
#pragma omp parallel for schedule(dynamic, 64)
    for (std::int32_t r = 0; r < grid.rows; ++r) {
        for (std::int32_t c = 0; c < grid.cols; ++c) out.to(r, c) = steepest(out.surface, distance, r, c);
    }
    return out;
}

DrainDirections drain_directions(const Grid& grid, Field<float>&& surface) {
    DrainDirections out = steepest_directions(grid, std::move(surface));
    drain_flats(out);
    return out;
}

}  // namespace lielow
