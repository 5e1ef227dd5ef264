// SPDX-License-Identifier: Apache-2.0
// What the layers of a run and a survey say, figure by figure.
#include <algorithm>
#include <cmath>

#include "sim/siting.hpp"

namespace lielow {
namespace {

constexpr double not_known = std::numeric_limits<double>::quiet_NaN();

class Gathering {
  public:
    void add(SitingFactor factor, const char* name, const SitingLimits& limits, const Field<float>* values) {
        if (values == nullptr || values->empty()) return;
        all_.push_back(
            {factor, name, limits, [values](std::size_t c) { return static_cast<double>((*values)[c]); }});
    }
    void add_class(SitingFactor factor, const char* name, const SitingLimits& limits,
                   const Field<std::uint8_t>& values) {
        if (values.empty()) return;
        all_.push_back({factor, name, limits, [&values](std::size_t c) {
                            return values[c] == 255 ? not_known : static_cast<double>(values[c]);
                        }});
    }
    void add_made(SitingFactor factor, const char* name, const SitingLimits& limits,
                  std::function<double(std::size_t)> value) {
        all_.push_back({factor, name, limits, std::move(value)});
    }
    std::vector<SitingEvidence> take() { return std::move(all_); }

  private:
    std::vector<SitingEvidence> all_;
};

void add_standing_water(const SitingLayers& layers, const SitingLimitSet& limits, Gathering& gathering) {
    constexpr auto factor = SitingFactor::standing_water;
    gathering.add(factor, "storm_hours", limits.standing_hours, layers.storm_hours);
    const Field<float>* storm = layers.storm_depth;
    const Field<float>* hollow = layers.hollow_depth;
    if (layers.storm_hours != nullptr && storm != nullptr && hollow != nullptr) {
        gathering.add_made(factor, "pond_depth", limits.pond_depth, [storm, hollow](std::size_t c) {
            return std::isnan((*storm)[c]) ? not_known
                                           : static_cast<double>(std::min((*storm)[c], (*hollow)[c]));
        });
    } else if (layers.storm_hours == nullptr && storm != nullptr) {
        gathering.add(factor, "pond_depth", limits.pond_depth, storm);
    } else {
        gathering.add(factor, "hollow_depth", limits.pond_depth, hollow);
    }
}

/// Water seen in a pit one day tells that ground is wet, never that it is dry enough.
void add_table(const SoilFacts& soil, const SitingLimits& limits, const char* name, const Field<float>& depth,
               Gathering& gathering) {
    const Field<std::uint8_t>& seen_only = soil.table_seen_only;
    if (depth.empty()) return;
    gathering.add_made(SitingFactor::soil_wetness, name, limits, [&depth, &seen_only, limits](std::size_t c) {
        const auto value = static_cast<double>(depth[c]);
        const bool tells_nothing = !seen_only.empty() && seen_only[c] != 0 && value >= limits.plant_from;
        return tells_nothing ? not_known : value;
    });
}

void add_soil(const SoilFacts& soil, const SitingLimitSet& limits, Gathering& gathering) {
    using enum SitingFactor;
    gathering.add_class(standing_water, "ponding", limits.frequency, soil.ponding);
    gathering.add_class(soil_wetness, "drainage_class", limits.drainage_class, soil.drainage_class);
    add_table(soil, limits.table_depth, "table_depth_year", soil.table_depth_year_m, gathering);
    add_table(soil, limits.table_depth, "table_depth_spring", soil.table_depth_spring_m, gathering);
    gathering.add_class(flooding, "flooding", limits.frequency, soil.flooding);
    gathering.add(soil_depth, "floor_depth", limits.soil_depth, &soil.floor_depth_m);
    if (limits.ph_known) gathering.add(soil_ph, "ph", limits.ph, &soil.ph);
    gathering.add(hard_soil, "hard_share", limits.hard_share, &soil.hard_share);
    gathering.add(available_water, "available_water", limits.available_water, &soil.available_water_m);
}

}  // namespace

std::vector<SitingEvidence> siting_evidence(const SitingLayers& layers, const SitingLimitSet& limits) {
    using enum SitingFactor;
    Gathering gathering;
    if (const Field<float>* years = layers.loss_years; years != nullptr) {
        const Field<float>* share = layers.loss_share;
        gathering.add_made(frost, "loss_years", limits.loss_years, [years, share](std::size_t c) {
            if (!std::isnan((*years)[c])) return static_cast<double>((*years)[c]);
            const bool night_known = share == nullptr || !std::isnan((*share)[c]);
            return night_known ? std::numeric_limits<double>::infinity() : not_known;
        });
    } else {
        gathering.add(frost, "loss_share", limits.loss_share, layers.loss_share);
    }
    add_standing_water(layers, limits, gathering);
    gathering.add(days_wet, "drain_days", limits.wet_days, layers.drain_days);
    if (layers.soil != nullptr) add_soil(*layers.soil, limits, gathering);
    gathering.add(slope, "slope", limits.slope, layers.slope);
    return gathering.take();
}

}  // namespace lielow
