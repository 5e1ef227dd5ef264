// SPDX-License-Identifier: Apache-2.0
// Water that soil holds for plants, by texture and depth, and how fast water runs through each texture.
#pragma once

#include <optional>
#include <span>
#include <string>
#include <string_view>

namespace lielow {

struct TextureWater {
    std::string_view name;        ///< "silt loam"
    double least = 0;             ///< available water, m of water in a metre of soil
    double most = 0;              ///< the other end of the published range
    double conductivity_m_s = 0;  ///< saturated; NaN where the table of conductivities lacks it
    [[nodiscard]] double middle() const { return 0.5 * (least + most); }
};

/// Available water: University of California, drought management, soil characteristics (in/ft). Saturated
/// conductivity: Clapp & Hornberger (1978, Water Resour. Res. 14:601-604), table 2, from memory.
std::span<const TextureWater> texture_waters();

/// The row of the longest name that `texture` ends with, so that "gravelly sandy loam" is a sandy loam (with
/// less water than the table says, for the gravel). Lower case. Null when there is none.
const TextureWater* texture_water(std::string_view texture);

struct TextureLayer {
    double top_m = 0;     ///< below the surface
    double bottom_m = 0;  ///< > top
    std::string texture;  ///< empty = not said
};

/// Available water from the surface to `depth_m` by the middle of each texture's range (a choice of this
/// program), m; layers don't overlap. NaN where a part of that depth has no texture.
double available_water(std::span<const TextureLayer> layers, double depth_m);

/// Share of the available water that roots take before the plant suffers where nothing is published for the
/// crop: half, common practice, no published source.
inline constexpr double usual_depletion = 0.5;

struct RootingHabit {
    std::string_view crop;  ///< "strawberry"
    double least_m = 0;     ///< rooting depth
    double most_m = 0;
    double depletion = 0.5;  ///< share of the available water that is readily available
};

/// FAO-56 (Allen et al. 1998), table 22, from memory. A crop whose name ends in "berry" is a berry bush; null
/// where the table has none like it.
const RootingHabit* rooting_habit(std::string_view crop);

/// US gallons on an acre (43,560 square feet; 231 cubic inches a gallon) for a depth of water, m.
double gallons_on_an_acre(double depth_m);

}  // namespace lielow
