// SPDX-License-Identifier: Apache-2.0
// Where a thermometer or an auger hole tells most: clues weigh the ground, spots are taken one after another,
// the weightiest and farthest from those before.
//
// Taking again and again the place farthest from those taken spreads spots at least half as far apart as they
// could be at best (Gonzalez 1985, Theoretical Computer Science 38, 293-306; Ravi, Rosenkrantz & Tayi 1994,
// Operations Research 42, 299-310; both from memory). Here the distance is weighted by what there is to
// learn.
#pragma once

#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

#include "sim/grid.hpp"

namespace lielow {

struct SpotRule {
    int count = 0;
    double least_apart_m = 0;
};

struct ChosenSpot {
    std::size_t cell = 0;
    std::size_t clue = 0;  ///< the one that weighs most there, the first of equals
    double weight = 0;     ///< of that clue there
};

/// `candidates`: cells where a spot may lie, ascending. `clues`: weights on the grid, 0 (nothing to learn,
/// as is NaN) to 1; a cell weighs as its weightiest clue. `taken`: cells that have a test already. Each time
/// the candidate with the greatest weight × min(1, distance to the nearest spot or taken cell / reach) is
/// taken, the first of equals, among those at least least_apart_m away; reach, the distance beyond which
/// being farther doesn't count, is that of `count` spots spread evenly over the candidates' area. Cells that
/// weigh nothing are never taken, so there may be fewer spots than asked for.
std::vector<ChosenSpot> choose_spots(const Grid& grid, std::span<const std::uint32_t> candidates,
                                     const std::vector<const Field<float>*>& clues,
                                     std::span<const std::size_t> taken, const SpotRule& rule);

/// Distance between two cells' middles, m.
double cell_distance(const Grid& grid, std::size_t a, std::size_t b);

/// 1 on cells that touch (by a side) a cell of another class, falling off in a straight line to 0 at
/// `reach_m` from them; classes from 254 on are no class and make no border. `counts`: whether the border
/// between these two cells is of interest.
template <class Counts>
Field<float> border_nearness(const Grid& grid, const Field<std::uint8_t>& classes, double reach_m,
                             Counts counts);

/// Rank of each candidate's value among the candidates, 0 (least) to 1 (greatest), equals sharing the mean of
/// their ranks; NaN elsewhere and where the value is.
Field<float> rank_among(const Grid& grid, std::span<const std::uint32_t> candidates,
                        const Field<float>& values);

/// The values over the greatest among the candidates, cut to 0..1; all 0 where none is greater than 0.
Field<float> scaled_to_greatest(std::span<const std::uint32_t> candidates, const Field<float>& values);

/// How far the survey's drainage class (DrainageClass) and the terrain disagree, 0..1: the class from the
/// driest (0) to very poorly drained (1) less `wetness_rank`, without its sign. NaN where either says
/// nothing.
Field<float> survey_against_terrain(const Field<std::uint8_t>& drainage_class,
                                    const Field<float>& wetness_rank);

// ---

/// Cells within `reach_m` of the marked ones: 1 - distance / reach.
Field<float> nearness(const Grid& grid, const Field<std::uint8_t>& marked, double reach_m);

template <class Counts>
Field<float> border_nearness(const Grid& grid, const Field<std::uint8_t>& classes, double reach_m,
                             Counts counts) {
    Field<std::uint8_t> marked(grid.rows, grid.cols, 0);
    const auto look = [&](std::size_t a, std::size_t b) {
        if (classes[a] == classes[b] || classes[a] >= 254 || classes[b] >= 254 || !counts(a, b)) return;
        marked[a] = marked[b] = 1;
    };
    for (std::int32_t r = 0; r < grid.rows; ++r) {
        for (std::int32_t c = 0; c < grid.cols; ++c) {
            if (c + 1 < grid.cols) look(grid.index(r, c), grid.index(r, c + 1));
            if (r + 1 < grid.rows) look(grid.index(r, c), grid.index(r + 1, c));
        }
    }
    return nearness(grid, marked, reach_m);
}

}  // namespace lielow
