// SPDX-License-Identifier: Apache-2.0
#include "sim/test_spots.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "sim/soil_facts.hpp"

namespace lielow {
namespace {

constexpr float not_known = std::numeric_limits<float>::quiet_NaN();

/// The clue that weighs most in a cell.
ChosenSpot weigh(const std::vector<const Field<float>*>& clues, std::size_t cell) {
    ChosenSpot best{cell, 0, 0};
    for (std::size_t k = 0; k < clues.size(); ++k) {
        const auto weight = static_cast<double>((*clues[k])[cell]);
        if (weight > best.weight) best = {cell, k, weight};
    }
    return best;
}

}  // namespace

double cell_distance(const Grid& grid, std::size_t a, std::size_t b) {
    const auto cols = static_cast<std::size_t>(grid.cols);
    const double x = static_cast<double>(a % cols) - static_cast<double>(b % cols);
    const double y = static_cast<double>(a / cols) - static_cast<double>(b / cols);
    return std::hypot(x * grid.dx, y * grid.dy);
}

std::vector<ChosenSpot> choose_spots(const Grid& grid, std::span<const std::uint32_t> candidates,
                                     const std::vector<const Field<float>*>& clues,
                                     std::span<const std::size_t> taken, const SpotRule& rule) {
    std::vector<ChosenSpot> weights;
    for (const std::uint32_t cell : candidates) weights.push_back(weigh(clues, cell));
    std::vector<double> nearest(candidates.size(), std::numeric_limits<double>::infinity());
    const auto take = [&](std::size_t cell) {
        for (std::size_t i = 0; i < candidates.size(); ++i)
            nearest[i] = std::min(nearest[i], cell_distance(grid, candidates[i], cell));
    };
    for (const std::size_t cell : taken) take(cell);
    const double area = static_cast<double>(candidates.size()) * grid.cell_area();
    const double reach = std::max(std::sqrt(area / std::max(rule.count, 1)), std::min(grid.dx, grid.dy));
    std::vector<ChosenSpot> chosen;
    while (static_cast<int>(chosen.size()) < rule.count) {
        double greatest = 0;
        std::size_t best = candidates.size();
        for (std::size_t i = 0; i < candidates.size(); ++i) {
            if (nearest[i] < rule.least_apart_m) continue;
            const double value = weights[i].weight * std::min(1.0, nearest[i] / reach);
            if (value > greatest) {
                greatest = value;
                best = i;
            }
        }
        if (best == candidates.size()) break;
        chosen.push_back(weights[best]);
        take(candidates[best]);
    }
    return chosen;
}

Field<float> rank_among(const Grid& grid, std::span<const std::uint32_t> candidates,
                        const Field<float>& values) {
    Field<float> rank(grid.rows, grid.cols, not_known);
    std::vector<float> sorted;
    for (const std::uint32_t cell : candidates) {
        if (!std::isnan(values[cell])) sorted.push_back(values[cell]);
    }
    std::sort(sorted.begin(), sorted.end());
    const double last = std::max(1.0, static_cast<double>(sorted.size()) - 1);
    for (const std::uint32_t cell : candidates) {
        if (std::isnan(values[cell])) continue;
        const auto [from, to] = std::equal_range(sorted.begin(), sorted.end(), values[cell]);
        const auto least = static_cast<double>(from - sorted.begin());
        const auto most = static_cast<double>(to - sorted.begin()) - 1;
        rank[cell] = static_cast<float>(0.5 * (least + most) / last);
    }
    return rank;
}

Field<float> scaled_to_greatest(std::span<const std::uint32_t> candidates, const Field<float>& values) {
    float greatest = 0;
    for (const std::uint32_t cell : candidates) greatest = std::max(greatest, values[cell]);  // false for NaN
    Field<float> scaled(values.rows(), values.cols(), 0.0F);
    if (!(greatest > 0)) return scaled;
    for (std::size_t cell = 0; cell < values.size(); ++cell) {
        const float share = values[cell] / greatest;
        scaled[cell] = std::isnan(share) ? share : std::clamp(share, 0.0F, 1.0F);
    }
    return scaled;
}

Field<float> survey_against_terrain(const Field<std::uint8_t>& drainage_class,
                                    const Field<float>& wetness_rank) {
    constexpr auto wettest = static_cast<float>(DrainageClass::very_poor);
    Field<float> gap(wetness_rank.rows(), wetness_rank.cols(), not_known);
    for (std::size_t cell = 0; cell < gap.size(); ++cell) {
        if (drainage_class[cell] == static_cast<std::uint8_t>(DrainageClass::unknown)) continue;
        const float surveyed = std::min(1.0F, static_cast<float>(drainage_class[cell]) / wettest);
        gap[cell] = std::abs(surveyed - wetness_rank[cell]);
    }
    return gap;
}

Field<float> nearness(const Grid& grid, const Field<std::uint8_t>& marked, double reach_m) {
    Field<float> near(grid.rows, grid.cols, 0.0F);
    const auto down = static_cast<std::int32_t>(reach_m / grid.dy);
    const auto along = static_cast<std::int32_t>(reach_m / grid.dx);
    for (std::size_t cell = 0; cell < marked.size(); ++cell) {
        if (marked[cell] == 0) continue;
        const auto row = static_cast<std::int32_t>(cell / static_cast<std::size_t>(grid.cols));
        const auto col = static_cast<std::int32_t>(cell % static_cast<std::size_t>(grid.cols));
        for (std::int32_t r = std::max(0, row - down); r <= std::min(grid.rows - 1, row + down); ++r) {
            for (std::int32_t c = std::max(0, col - along); c <= std::min(grid.cols - 1, col + along); ++c) {
                const double d = cell_distance(grid, cell, grid.index(r, c));
                float& here = near(r, c);
                here = std::max(here, static_cast<float>(1 - d / reach_m));
            }
        }
    }
    return near;
}

}  // namespace lielow
