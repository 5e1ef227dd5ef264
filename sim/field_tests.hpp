// SPDX-License-Identifier: Apache-2.0
// Tests that a person makes in the field, and what each says of the soil where it stands.
#pragma once

#include <array>
#include <cstdint>
#include <limits>
#include <optional>
#include <string>
#include <vector>

#include "sim/hole_tests.hpp"
#include "sim/soil_facts.hpp"
#include "sim/soil_water.hpp"
#include "sim/soil_wetness.hpp"

namespace lielow {

enum class TestKind : std::uint8_t { percolation, pit, ph, penetrometer };

struct PitLayer {
    TextureLayer soil;
    bool gray = false;         ///< gray mottles, or gray as a whole
    bool roots = false;        ///< living roots seen
    bool restriction = false;  ///< rock, hardpan: stops roots and water
};

struct PitWater {
    double days_after_rain = 0;
    double depth_m = 0;   ///< below the surface; NaN = the pit was dry
    bool spring = false;  ///< seen in April to June
};

struct FieldTest {
    std::string name;
    TestKind kind = TestKind::percolation;
    std::optional<std::array<double, 2>> at_m;  ///< from the outer corner of the grid's first cell
    std::vector<std::uint32_t> cells;           ///< of the field it stands in, where no more is known
    double radius_m = 0;                        ///< of a percolation hole
    bool presoaked = false;
    std::vector<HoleReading> water;    ///< in that hole
    std::vector<PitLayer> layers;      ///< of a pit, downward
    std::vector<PitWater> pit_water;   ///< by day after rain
    std::vector<double> ph;            ///< samples
    std::vector<double> pressures_pa;  ///< of a penetrometer
};

/// What a test says; NaN and `unknown` for what it doesn't.
struct SoilFinding {
    static constexpr double not_said = std::numeric_limits<double>::quiet_NaN();
    DrainageClass drainage = DrainageClass::unknown;  ///< by colour, class_by_gray
    double table_depth_year_m = not_said;             ///< shallowest water a day or more after rain
    double table_depth_spring_m = not_said;           ///< of it, in April to June
    double floor_depth_m = not_said;
    double ph = not_said;
    double available_water_m = not_said;  ///< in the top metre, or down to the floor
    double conductivity_m_s = not_said;
    double hard_share = not_said;
    bool no_fall = false;          ///< of a percolation hole: conductivity and rate are the most they can be
    double rate_m_s = not_said;    ///< percolation over the last two readings
    double emptying_s = not_said;  ///< time in which an 18 in deep hole of that width would empty
    double rooting_depth_m = not_said;  ///< deepest layer with roots
    double rooted_water_m = not_said;   ///< available water down to there
    double gray_from_m = not_said;
    double seen_to_m = not_said;  ///< depth of the pit
};

/// The least fall of water that a person sees on a ruler, 1/16 in (common practice, no source).
inline constexpr double least_fall_seen_m = 0.0254 / 16;

/// Evaluates one test. Water that doesn't fall in a percolation hole is taken to fall by least_fall_seen_m
/// over the whole time, which is the most it can have. Throws InputError: water that rises in a percolation
/// hole, and the like.
SoilFinding finding_of(const FieldTest& test);

}  // namespace lielow
