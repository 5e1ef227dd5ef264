// SPDX-License-Identifier: Apache-2.0
// The classes and factors of the siting (sim/siting.hpp), in their fixed order.
#pragma once

#include <array>
#include <bitset>
#include <cstddef>
#include <cstdint>
#include <string_view>

namespace lielow {

/// In order of severity, but for `unknown`.
enum class SitingClass : std::uint8_t { plant, with_work, not_here, unknown, no_ground = 255 };
inline constexpr std::size_t siting_classes = 4;
inline constexpr std::array<std::string_view, siting_classes> siting_class_names{"plant", "plant with work",
                                                                                 "not here", "unknown"};

/// In the order in which equals are told: the first one decides.
enum class SitingFactor : std::uint8_t {
    frost,
    standing_water,
    days_wet,  ///< days after the storm until the roots have air
    soil_wetness,
    flooding,
    soil_depth,
    soil_ph,
    hard_soil,
    slope,
    available_water
};
inline constexpr std::size_t siting_factors = 10;
inline constexpr std::array<std::string_view, siting_factors> siting_factor_names{
    "frost",      "standing water", "days wet",  "soil wetness", "flooding",
    "soil depth", "soil pH",        "hard soil", "slope",        "available water"};

using FactorSet = std::bitset<siting_factors>;

}  // namespace lielow
