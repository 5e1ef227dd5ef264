// SPDX-License-Identifier: Apache-2.0
// What a soil survey and tests in the field say of the ground, cell by cell. What nobody says is unknown:
// NaN, or the class `unknown`; never zero, never a default.
#pragma once

#include <array>
#include <cstdint>
#include <string_view>

#include "sim/grid.hpp"

namespace lielow {

/// Natural drainage classes of the Soil Survey Manual (USDA Handbook 18, chapter 3), the driest first.
enum class DrainageClass : std::uint8_t {
    excessive,
    somewhat_excessive,
    well,
    moderately_well,
    somewhat_poor,
    poor,
    very_poor,
    subaqueous,
    unknown = 255
};

/// In the order of the classes.
inline constexpr std::array<std::string_view, 8> drainage_class_names{"excessively drained",
                                                                      "somewhat excessively drained",
                                                                      "well drained",
                                                                      "moderately well drained",
                                                                      "somewhat poorly drained",
                                                                      "poorly drained",
                                                                      "very poorly drained",
                                                                      "subaqueous"};

/// How often ground floods or ponds, as soil surveys say it, the rarest first.
enum class WaterFrequency : std::uint8_t {
    none,
    very_rare,
    rare,
    occasional,
    frequent,
    very_frequent,
    unknown = 255
};

/// Hydrologic soil groups (NRCS National Engineering Handbook, part 630, chapter 7); a dual group is its
/// second letter until the ground is drained.
enum class HydrologicGroup : std::uint8_t { a, b, c, d, a_d, b_d, c_d, unknown = 255 };

/// Every member is either empty (nobody says anything of it anywhere) or on the ground's own grid. Class
/// members hold the value of their enum.
struct SoilFacts {
    Field<std::uint8_t> drainage_class;  ///< DrainageClass
    Field<float> table_depth_year_m;     ///< shallowest water table of the year, below the surface
    Field<float> table_depth_spring_m;   ///< of April to June
    /// 1 where one of these two depths is only that at which water was seen in a pit: the table may stand
    /// higher.
    Field<std::uint8_t> table_seen_only;
    Field<float> floor_depth_m;            ///< depth of rock, hardpan or whatever else stops roots and water
    Field<std::uint8_t> flooding;          ///< WaterFrequency: a stream's water
    Field<std::uint8_t> ponding;           ///< WaterFrequency: water standing in closed hollows
    Field<std::uint8_t> hydrologic_group;  ///< HydrologicGroup
    Field<float> ph;                       ///< in water, 1:1
    Field<float> available_water_m;        ///< held for plants in the top metre, as a depth of water
    Field<float> conductivity_m_s;         ///< saturated hydraulic conductivity
    Field<float> hard_share;   ///< of the penetrometer readings, 0..1: too hard for roots (above 300 psi)
    Field<float> test_weight;  ///< 0 = a survey alone speaks ... 1 = a test in the field stands here
};

}  // namespace lielow
