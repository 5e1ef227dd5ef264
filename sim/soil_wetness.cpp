// SPDX-License-Identifier: Apache-2.0
#include "sim/soil_wetness.hpp"

#include <array>
#include <cmath>

namespace lielow {
namespace {

constexpr double inch = 0.0254;
constexpr double hour_s = 3600;

}  // namespace

DrainageClass class_by_gray(double gray_from_m, double seen_to_m) {
    if (gray_from_m <= 10 * inch) return DrainageClass::poor;
    if (gray_from_m <= 20 * inch) return DrainageClass::somewhat_poor;
    if (gray_from_m <= 40 * inch) return DrainageClass::moderately_well;
    return seen_to_m >= 40 * inch ? DrainageClass::well : DrainageClass::unknown;
}

DrainageClass class_by_free_water(double depth_m) {
    if (depth_m < 0.25) return DrainageClass::poor;
    if (depth_m < 0.50) return DrainageClass::somewhat_poor;
    if (depth_m < 1.00) return DrainageClass::moderately_well;
    return depth_m >= 1.50 ? DrainageClass::well : DrainageClass::unknown;
}

Percolation percolation_class(double rate_m_s) {
    if (rate_m_s < inch / hour_s) return Percolation::slow;
    return rate_m_s <= 3 * inch / hour_s ? Percolation::fit : Percolation::fast;
}

HoleEmptying emptying_class(double time_s) {
    if (time_s <= hour_s) return HoleEmptying::good;
    return time_s <= 24 * hour_s ? HoleEmptying::fair : HoleEmptying::poor;
}

std::string_view drainage_name(DrainageClass drainage) {
    const auto k = static_cast<std::size_t>(drainage);
    return k < drainage_class_names.size() ? drainage_class_names[k] : "unknown";
}

std::string_view percolation_name(Percolation percolation) {
    constexpr std::array<std::string_view, 3> names{"slow", "fit for trees", "fast"};
    return names.at(static_cast<std::size_t>(percolation));
}

std::string_view emptying_name(HoleEmptying emptying) {
    constexpr std::array<std::string_view, 3> names{"good", "fair", "poor"};
    return names.at(static_cast<std::size_t>(emptying));
}

}  // namespace lielow
