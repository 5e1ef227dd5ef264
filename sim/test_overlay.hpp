// SPDX-License-Identifier: Apache-2.0
// Tests in the field laid over what a survey says: they override it where they stand and fade with distance.
#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <span>
#include <vector>

#include "sim/field_tests.hpp"
#include "sim/soil_facts.hpp"

namespace lielow {

struct PlacedFinding {
    std::optional<std::array<double, 2>> at_m;  ///< from the outer corner of the grid's first cell
    std::vector<std::uint32_t> cells;           ///< ascending; else of the field it stands in
    SoilFinding finding;
};

/// Lays `tests` over `facts`. The weight of a test d metres from the middle of a cell is 1 − d/reach; one of
/// which only the field is known counts in the whole field, and nowhere else, as if it stood half the reach
/// away. Of a class the nearest test within reach wins (the first of equals). Of a number the tests within
/// reach are averaged by modified inverse distance, ((reach − d)/(reach d))² (Franke & Nielson 1980, Int. J.
/// Numer. Meth. Eng. 15:1691-1704), conductivities by their logarithms, and the mean is mixed with what stood
/// there before by the nearest test's weight; where nothing stood the mean counts whole. Water seen on a few
/// days shows only how shallow the table gets at least: where the survey has it shallower, the survey stays.
/// Sets `facts.test_weight` to the greatest weight of any test. Members that no test speaks of stay as they
/// are. Throws InputError unless the reach is above 0.
void lay_tests(const Grid& grid, std::span<const PlacedFinding> tests, double reach_m, SoilFacts& facts);

}  // namespace lielow
