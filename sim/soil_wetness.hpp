// SPDX-License-Identifier: Apache-2.0
// From what a pit or an auger shows (gray colours, standing water) and from a percolation test to words that
// surveys and growers use.
#pragma once

#include <cstdint>
#include <string_view>

#include "sim/soil_facts.hpp"

namespace lielow {

/// Natural drainage class from the depth, m, at which gray mottles or a gray ground colour begin (NaN = none
/// seen) in a pit seen down to `seen_to_m`. A ladder by colour of the Minnesota Department of Natural
/// Resources: poorly within 10 in, somewhat poorly within 20 in, moderately well 20 to 40 in, well none in 40
/// in. A pit without gray that ends above 40 in leaves the class unknown. Very poorly is ground saturated at
/// the surface, which colours don't tell. Gray of old age or of the rock itself reads too wet; ground drained
/// since keeps its colours and reads too wet as well.
DrainageClass class_by_gray(double gray_from_m, double seen_to_m);

/// Natural drainage class from the depth, m, of free water in the wet season, kept for weeks: Soil Survey
/// Manual (USDA Handbook 18, chapter 3): somewhat poorly 25 to 50 cm, moderately well 50 to 100 cm, well
/// below 150 cm; poorly above 25 cm (from memory). It says nothing of 100 to 150 cm, which comes back as
/// unknown, while the ladder of class_by_gray calls that well.
DrainageClass class_by_free_water(double depth_m);

/// How fast the water falls in a hole about a foot deep, soaked beforehand. Common practice, no published
/// source: below 1 in/h slow, 1 to 3 in/h fit for trees, above fast.
enum class Percolation : std::uint8_t { slow, fit, fast };
Percolation percolation_class(double rate_m_s);

/// The same by how long an 18 in deep hole takes to empty: an hour or less good, up to a day fair, longer
/// poor or a high water table (University of Florida, woody ornamentals, site evaluation).
enum class HoleEmptying : std::uint8_t { good, fair, poor };
HoleEmptying emptying_class(double time_s);

/// "well drained"; "unknown".
std::string_view drainage_name(DrainageClass drainage);
std::string_view percolation_name(Percolation percolation);
std::string_view emptying_name(HoleEmptying emptying);

}  // namespace lielow
