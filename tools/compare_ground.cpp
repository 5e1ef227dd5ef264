// SPDX-License-Identifier: Apache-2.0
#include "tools/compare_ground.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "sim/catchments.hpp"
#include "sim/drain_directions.hpp"
#include "sim/hollows.hpp"
#include "sim/upslope.hpp"

namespace lielow {
namespace {

using enum PeopleQuantity;

constexpr double half_fahrenheit_k = 0.5 / 1.8;
constexpr double inch_m = 0.0254;
constexpr double square_m = 61;  // about 200 ft

enum Number : std::size_t {
    ponded,
    left,
    left_running,
    peak,
    leaves_elsewhere,
    deeper,
    deepest_rise,
    shallower,
    colder,
    coldest_fall,
    warmer,
    count
};

constexpr std::array<GroundMeasure, count> measures{{
    {"storm_ponded_m3", "stands on the whole ground after the storm", volume, false},
    {"storm_left_ground_m3", "runs off the ground, hollows filled", volume, false},
    {"storm_left_running_m3", "left the ground while the storm was followed", volume, false},
    {"peak_outflow_m3_s", "peak of what leaves the ground", discharge, false},
    {"leaves_elsewhere_m2", "ground whose water now leaves elsewhere", area, true},
    {"outside_deeper_m2", "outside the fields: over an inch deeper", area, true},
    {"outside_deepest_rise_m", "outside the fields: greatest rise of the water", height, true},
    {"outside_shallower_m2", "outside the fields: over an inch shallower", area, true},
    {"outside_colder_m2", "outside the fields: over half a degree F colder", area, true},
    {"outside_most_colder_k", "outside the fields: most by which a place is colder", temperature_difference,
     true},
    {"outside_warmer_m2", "outside the fields: over half a degree F warmer", area, true},
}};

/// 1 for known ground of which less than half lies in a field of either variant.
Field<std::uint8_t> outside_fields(const Variant& variant, const Variant& base, const Ground& ground) {
    Field<std::uint8_t> outside = ground.known.clone();
    for (const Variant* one : {&variant, &base}) {
        for (const FarmField& field : one->fields) {
            for (std::size_t i = 0; i < field.cells.size(); ++i) {
                if (field.share[i] >= 0.5F) outside[field.cells[i]] = 0;
            }
        }
    }
    return outside;
}

std::string position_of(const Dem& dem, std::size_t cell) {
    const auto cols = static_cast<std::size_t>(dem.ground.grid.cols);
    const auto at =
        dem.geo.at(static_cast<double>(cell % cols) + 0.5, static_cast<double>(cell / cols) + 0.5);
    return fmt::format("{:.0f}, {:.0f}", at[0], at[1]);
}

struct Change {
    double over_m2 = 0;   ///< where it rises by more than the threshold
    double under_m2 = 0;  ///< where it falls by more
    double most_over = 0;
    double most_under = 0;  ///< as a positive number
    std::size_t over_cell = 0;
    std::size_t under_cell = 0;
};

Change change_outside(const Field<float>& now, const Field<float>& before, const Field<std::uint8_t>& outside,
                      const Grid& grid, double threshold) {
    Change change;
    for (std::size_t c = 0; c < now.size(); ++c) {
        const double by = static_cast<double>(now[c]) - static_cast<double>(before[c]);
        if (outside[c] == 0 || std::isnan(by)) continue;
        if (by > threshold) change.over_m2 += grid.cell_area();
        if (-by > threshold) change.under_m2 += grid.cell_area();
        if (by > change.most_over) {
            change.most_over = by;
            change.over_cell = c;
        }
        if (-by > change.most_under) {
            change.most_under = -by;
            change.under_cell = c;
        }
    }
    return change;
}

std::optional<Change> raster_change(std::string_view raster, const Variant& variant, const Variant& base,
                                    const Dem& dem, const Layers& layers, const Layers& base_layers,
                                    double threshold) {
    const auto before = base_layers.read(raster);
    const auto now = layers.read(raster);
    if (!before || !now) return std::nullopt;
    return change_outside(*now, *before, outside_fields(variant, base, dem.ground), dem.ground.grid,
                          threshold);
}

bool touches(const Variant& variant, std::string_view part) {
    return std::find(variant.parts.begin(), variant.parts.end(), part) != variant.parts.end();
}

void add_cold(const Variant& variant, const Variant& base, const Dem& dem, const Layers& layers,
              const Layers& base_layers, SentOn& sent) {
    const auto change =
        raster_change("night_low", variant, base, dem, layers, base_layers, half_fahrenheit_k);
    if (!change) return;
    sent.values[colder] = change->under_m2;
    sent.values[coldest_fall] = change->most_under;
    sent.values[warmer] = change->over_m2;
    if (change->under_m2 > 0) sent.coldest_at = position_of(dem, change->under_cell);
}

void add_leaving(const Variant& variant, const Variant& base, const Dem& dem, SentOn& sent) {
    const EdgeOutflow now = edge_outflow(dem.ground, variant.changes);
    const EdgeOutflow before = edge_outflow(dem.ground, base.changes);
    double moved = 0;
    double most = 0;
    for (std::size_t s = 0; s < now.area_m2.size(); ++s) {
        const double gain = now.area_m2[s] - before.area_m2[s];
        moved += std::max(0.0, gain);
        if (!(gain > most)) continue;
        most = gain;
        const double across =
            (static_cast<double>(s % static_cast<std::size_t>(now.squares_across)) + 0.5) * now.cells;
        const double down =
            (static_cast<double>(s / static_cast<std::size_t>(now.squares_across)) + 0.5) * now.cells;
        const auto at = dem.geo.at(std::min(across, static_cast<double>(dem.ground.grid.cols)),
                                   std::min(down, static_cast<double>(dem.ground.grid.rows)));
        sent.leaves_at = fmt::format("{:.0f}, {:.0f}", at[0], at[1]);
    }
    sent.values[leaves_elsewhere] = moved;
}

void add_water(const Variant& variant, const Variant& base, const Dem& dem, const Layers& layers,
               const Layers& base_layers, SentOn& sent) {
    sent.values[ponded] = part_figure(layers, "water", "storm_ponded_m3");
    sent.values[left] = part_figure(layers, "water", "storm_left_ground_m3");
    sent.values[left_running] = part_figure(layers, "storm", "left_ground_m3");
    sent.values[peak] = part_figure(layers, "storm", "peak_outflow_m3_s");
    if (!touches(variant, "water") || &variant == &base) return;
    add_leaving(variant, base, dem, sent);
    const auto change = raster_change("storm_depth", variant, base, dem, layers, base_layers, inch_m);
    if (!change) return;
    sent.values[deeper] = change->over_m2;
    sent.values[deepest_rise] = change->most_over;
    sent.values[shallower] = change->under_m2;
    if (change->over_m2 > 0) sent.deepest_at = position_of(dem, change->over_cell);
}

}  // namespace

std::span<const GroundMeasure> ground_measures() {
    return measures;
}

EdgeOutflow edge_outflow(const Ground& ground, std::span<const GroundChange> changes) {
    const Grid& grid = ground.grid;
    Field<float> z = ground.z.clone();
    for (const GroundChange& change : changes) change_ground(grid, change, z);
    const Catchments catchments = find_catchments(grid, z);
    const DrainDirections directions =
        drain_directions(grid, filled_ground(z, catchments, find_hollows(grid, z, catchments)));
    const Field<double> drained = upslope_area(grid, directions, FlowSplit::single);
    EdgeOutflow out;
    out.cells = std::max(1, static_cast<std::int32_t>(std::lround(square_m / std::max(grid.dx, grid.dy))));
    out.squares_across = (grid.cols + out.cells - 1) / out.cells;
    const std::int32_t down = (grid.rows + out.cells - 1) / out.cells;
    out.area_m2.assign(static_cast<std::size_t>(out.squares_across) * static_cast<std::size_t>(down), 0.0);
    for (std::int32_t r = 0; r < grid.rows; ++r) {
        for (std::int32_t c = 0; c < grid.cols; ++c) {
            if (directions.to(r, c) != kOffGround) continue;
            const auto square =
                static_cast<std::size_t>((r / out.cells) * out.squares_across + c / out.cells);
            out.area_m2[square] += drained(r, c);
        }
    }
    return out;
}

SentOn sent_on(const Variant& variant, const Variant& base, const Dem& dem, const Layers& layers,
               const Layers& base_layers) {
    SentOn sent;
    sent.values.resize(count);
    if (&variant != &base && touches(variant, "night"))
        add_cold(variant, base, dem, layers, base_layers, sent);
    add_water(variant, base, dem, layers, base_layers, sent);
    return sent;
}

}  // namespace lielow
