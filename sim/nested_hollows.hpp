// SPDX-License-Identifier: Apache-2.0
// Hollows within hollows: which small ones join to a larger one as water rises, how much each holds, and
// where it runs over.
//
// The tree is that of Barnes, R., Callaghan, K. L., Wickert, A. D. (2020): Computing water flow through
// complex landscapes - Part 2: Finding hierarchies in depressions and morphological segmentations. Earth
// Surf. Dynam. 8:431-445, doi 10.5194/esurf-8-431-2020. It is grown here over the passes between catchments
// that find_catchments has found already: passes are taken from the lowest up (Kruskal); two hollows that
// meet become the parts of a new one; a hollow that meets ground which drains, or the ground's edge, is
// nobody's part.
#pragma once

#include <array>
#include <cstdint>
#include <span>
#include <vector>

#include "sim/catchments.hpp"
#include "sim/grid.hpp"

namespace lielow {

/// A hollow, or a catchment that holds nothing. Water stands in it between `floor_m` and `spill_level_m`;
/// below the floor it is its parts' water.
struct NestedHollow {
    std::array<std::int32_t, 2> parts{-1, -1};  ///< -1 for a catchment, which has none
    std::int32_t within = -1;     ///< what it becomes part of; -1 where its overflow leaves for good
    std::int32_t spills_to = -1;  ///< catchment into which it runs over; -1 off the ground
    std::uint32_t spill_cell = 0;
    std::uint32_t cells = 0;  ///< under water when full, those of its parts too
    float floor_m = 0;        ///< elevation of the pit, or at which the parts join
    float spill_level_m = 0;  ///< elevation of the water when full
    double room_m3 = 0;       ///< what it holds beyond its parts
};

struct NestedHollows {
    /// First one for each catchment, in their order; then the joined ones, each after its parts.
    std::vector<NestedHollow> list;
    std::vector<std::uint32_t> catchment_cells;
    double cell_area_m2 = 0;
    /// Elevations of the cells between the floor and the spill level of hollow i, from the lowest up, stand
    /// in heights[first_height[i] .. first_height[i + 1]).
    std::vector<std::size_t> first_height;
    std::vector<float> heights;

    [[nodiscard]] std::size_t catchments() const { return catchment_cells.size(); }
    [[nodiscard]] std::span<const float> heights_of(std::size_t hollow) const {
        return {heights.data() + first_height[hollow], first_height[hollow + 1] - first_height[hollow]};
    }
    /// The other part of what it is within.
    [[nodiscard]] std::int32_t neighbour(std::int32_t hollow) const {
        const auto& parts =
            list[static_cast<std::size_t>(list[static_cast<std::size_t>(hollow)].within)].parts;
        return parts[0] == hollow ? parts[1] : parts[0];
    }
};

/// `catchments` must be those of `z`. Of passes at one height those off the ground come first, then those
/// with the lowest ground beyond, then the order of `catchments.tree`. One thread; about 70 bytes for each
/// catchment and 4 for each cell that can be under water, the working memory included.
NestedHollows nest_hollows(const Grid& grid, const Field<float>& z, const Catchments& catchments);

/// The same with passes of one height in the `order` (sim/tie_order.hpp) of the cells they lead over, which
/// must be that in which the catchments were found.
NestedHollows nest_hollows(const Grid& grid, const Field<float>& z, const Catchments& catchments,
                           const Field<float>& order);

/// Water each hollow of the list holds when full, its parts' included, m³.
std::vector<double> capacities_m3(const NestedHollows& hollows);

/// The hollow of the list in which catchment `c` lies when everything is full: the same as that of
/// find_hollows.
std::int32_t fullest_hollow(const NestedHollows& hollows, std::int32_t c);

}  // namespace lielow
