// SPDX-License-Identifier: Apache-2.0
#include "sim/field_tests.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>

#include "sim/penetrometer.hpp"

namespace lielow {

namespace {

void read_hole(const FieldTest& test, SoilFinding& finding) {
    std::vector<HoleReading> water = test.water;
    finding.no_fall = water.size() >= 2 && std::all_of(water.begin(), water.end(), [&](const HoleReading& r) {
                          return r.water_m == water.front().water_m;
                      });
    if (finding.no_fall)
        water = {water.front(),
                 {water.back().time_s, std::fmax(0.0, water.front().water_m - least_fall_seen_m)}};
    finding.conductivity_m_s = porchet_conductivity(test.radius_m, water);
    const HoleReading& last = water.back();
    const HoleReading& before = water[water.size() - 2];
    finding.rate_m_s = (before.water_m - last.water_m) / (last.time_s - before.time_s);
    constexpr double told_hole_m = 18 * 0.0254;
    finding.emptying_s = hole_emptying_time(test.radius_m, told_hole_m, finding.conductivity_m_s);
}

/// The smaller; a NaN counts for nothing.
void lower_to(double& value, double other) {
    if (!(value <= other)) value = other;
}

/// Water on the day of the rain is still on its way down.
void read_pit_water(const FieldTest& test, SoilFinding& finding) {
    for (const PitWater& seen : test.pit_water) {
        if (seen.days_after_rain < 1 || std::isnan(seen.depth_m)) continue;
        lower_to(finding.table_depth_year_m, seen.depth_m);
        if (seen.spring) lower_to(finding.table_depth_spring_m, seen.depth_m);
    }
}

void read_layers(const FieldTest& test, SoilFinding& finding) {
    if (test.layers.empty()) return;
    std::vector<TextureLayer> textures;
    finding.seen_to_m = 0;
    for (const PitLayer& layer : test.layers) {
        textures.push_back(layer.soil);
        finding.seen_to_m = std::max(finding.seen_to_m, layer.soil.bottom_m);
        if (layer.gray) lower_to(finding.gray_from_m, layer.soil.top_m);
        if (layer.restriction) lower_to(finding.floor_depth_m, layer.soil.top_m);
        if (layer.roots) finding.rooting_depth_m = std::fmax(finding.rooting_depth_m, layer.soil.bottom_m);
    }
    finding.drainage = class_by_gray(finding.gray_from_m, finding.seen_to_m);
    finding.available_water_m = available_water(textures, std::fmin(1.0, finding.floor_depth_m));
    if (!std::isnan(finding.rooting_depth_m))
        finding.rooted_water_m = available_water(textures, finding.rooting_depth_m);
}

}  // namespace

SoilFinding finding_of(const FieldTest& test) {
    SoilFinding finding;
    if (test.kind == TestKind::percolation) read_hole(test, finding);
    read_layers(test, finding);
    read_pit_water(test, finding);
    if (!test.ph.empty()) {
        finding.ph =
            std::accumulate(test.ph.begin(), test.ph.end(), 0.0) / static_cast<double>(test.ph.size());
    }
    finding.hard_share = hard_share(test.pressures_pa);
    return finding;
}

}  // namespace lielow
