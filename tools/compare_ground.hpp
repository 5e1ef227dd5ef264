// SPDX-License-Identifier: Apache-2.0
// What a remedy sends on: water over the ground's edge, water and cold onto ground outside the fields.
#pragma once

#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "io/dem.hpp"
#include "io/people_units.hpp"
#include "sim/ground_changes.hpp"
#include "tools/compare_figures.hpp"

namespace lielow {

struct GroundMeasure {
    std::string_view name;
    std::string_view heading;
    PeopleQuantity quantity;
    bool is_change;  ///< tells a change by itself: there is none of it without the remedy
};
std::span<const GroundMeasure> ground_measures();

/// Area whose water leaves the ground in each square of about 200 ft, m², hollows full; squares row by row.
struct EdgeOutflow {
    std::int32_t squares_across = 0;
    std::int32_t cells = 0;  ///< of a square's side
    std::vector<double> area_m2;
};
EdgeOutflow edge_outflow(const Ground& ground, std::span<const GroundChange> changes);

/// What a variant sends on. The first of `places` says where the most cold, the second where the most water
/// comes: map positions, empty where nothing does.
struct SentOn {
    MeasureValues values;  ///< in the order of ground_measures()
    std::string coldest_at;
    std::string deepest_at;
    std::string leaves_at;
};

/// `base` itself gives its own figures and no changes.
SentOn sent_on(const Variant& variant, const Variant& base, const Dem& dem, const Layers& layers,
               const Layers& base_layers);

}  // namespace lielow
