// SPDX-License-Identifier: Apache-2.0
// Where to look next: spots for thermometers and auger holes, as a layer, as waypoints and in words.
#include <fmt/format.h>

#include <algorithm>

#include "io/gpx.hpp"
#include "io/site.hpp"
#include "sim/test_spots.hpp"
#include "tools/look_clues.hpp"
#include "tools/reference_spot.hpp"

namespace lielow {
namespace {

using Cells = std::vector<std::uint32_t>;

/// Where a thermometer stands already.
std::vector<std::size_t> station_cell(const SiteRun& run) {
    const auto& place = run.site.station.place;
    const auto position = run.site.station.record && place ? map_position(*place) : std::nullopt;
    const auto cell = position ? cell_at(run.dem, position->first, position->second) : std::nullopt;
    return cell ? std::vector{*cell} : std::vector<std::size_t>();
}

/// Of the fields that hold the cell, the one with most of it.
std::string field_of(const SiteRun& run, std::size_t cell) {
    std::string name;
    float most = 0;
    for (const FarmField& field : run.fields) {
        const auto at = std::lower_bound(field.cells.begin(), field.cells.end(), cell);
        if (at == field.cells.end() || *at != cell) continue;
        const float share = field.share[static_cast<std::size_t>(at - field.cells.begin())];
        if (share > most) {
            most = share;
            name = field.name;
        }
    }
    return name;
}

TestSpotRecord record_at(const SiteRun& run, std::size_t cell) {
    const auto cols = static_cast<std::size_t>(run.dem.ground.grid.cols);
    const auto [x, y] =
        run.dem.geo.at(static_cast<double>(cell % cols) + 0.5, static_cast<double>(cell / cols) + 0.5);
    const auto [longitude, latitude] = longitude_latitude(run.dem.geo, x, y);
    return {{},        {},       field_of(run, cell),
            {},        x,        y,
            longitude, latitude, static_cast<double>(run.dem.ground.z[cell])};
}

struct Wanted {
    const char* kind;
    const char* letter;
    SpotRule rule;
    std::vector<std::size_t> taken;
};

void add_spots(SiteRun& run, const Cells& candidates, const std::vector<Clue>& clues, const Wanted& wanted) {
    if (clues.empty() || wanted.rule.count == 0) return;
    std::vector<const Field<float>*> weights;
    for (const Clue& clue : clues) weights.push_back(&clue.weight);
    const auto spots = choose_spots(run.dem.ground.grid, candidates, weights, wanted.taken, wanted.rule);
    int number = 0;
    for (const ChosenSpot& spot : spots) {
        TestSpotRecord record = record_at(run, spot.cell);
        record.name = fmt::format("{}{}", wanted.letter, ++number);
        record.kind = wanted.kind;
        record.reason = clues[spot.clue].words(spot.cell);
        run.summary.test_spots.push_back(std::move(record));
    }
    if (number < wanted.rule.count) {
        run.summary.notes.push_back(fmt::format(
            "{} of {} spots for a {} are proposed: the fields have no more ground that would tell "
            "something, can be reached and lies as far apart as look.apart asks",
            number, wanted.rule.count, wanted.kind));
    }
}

template <class Get>
auto column_of(const std::vector<TestSpotRecord>& spots, Get get) {
    std::vector<decltype(get(spots.front()))> values;
    for (const TestSpotRecord& spot : spots) values.push_back(get(spot));
    return values;
}

VectorLayer spots_layer(const std::vector<TestSpotRecord>& spots) {
    VectorLayer layer{
        "test_spots", "Where a thermometer or an auger hole would tell most", Shape::point, {}, {}};
    for (const TestSpotRecord& spot : spots) layer.geometries.push_back(point_wkb(spot.x, spot.y));
    const auto text = [&](const char* name, const char* description, std::string TestSpotRecord::*member) {
        layer.columns.push_back(
            {name, description, column_of(spots, [member](const TestSpotRecord& s) { return s.*member; })});
    };
    const auto number = [&](const char* name, const char* description, double TestSpotRecord::*member) {
        layer.columns.push_back(
            {name, description, column_of(spots, [member](const TestSpotRecord& s) { return s.*member; })});
    };
    text("name", "Name of the spot: T a thermometer, A an auger hole", &TestSpotRecord::name);
    text("kind", "What to put or dig there", &TestSpotRecord::kind);
    text("field", "Name of the field", &TestSpotRecord::field);
    text("reason", "Why there", &TestSpotRecord::reason);
    number("elevation_m", "Elevation of the ground, metres", &TestSpotRecord::elevation_m);
    number("longitude_deg", "Longitude on WGS 84, degrees", &TestSpotRecord::longitude_deg);
    number("latitude_deg", "Latitude on WGS 84, degrees", &TestSpotRecord::latitude_deg);
    return layer;
}

void write_spots(SiteRun& run) {
    const auto& spots = run.summary.test_spots;
    if (spots.empty()) return;
    std::vector<Waypoint> waypoints;
    for (const TestSpotRecord& spot : spots) {
        waypoints.push_back({spot.name, fmt::format("{}, {}: {}", spot.kind, spot.field, spot.reason), spot.x,
                             spot.y, spot.elevation_m});
    }
    write_gpx(run.staging.path("test_spots.gpx"), run.dem.geo, waypoints);
    run.layers.push_back(spots_layer(spots));
}

}  // namespace

void run_look(SiteRun& run) {
    const LookSettings& look = run.site.look;
    if (look.thermometers + look.auger_holes == 0) return;
    begin_stage(run, "where to look next");
    const Cells candidates = reachable_cells(run);
    add_spots(run, candidates, thermometer_clues(run, candidates),
              {"thermometer", "T", {look.thermometers, look.apart_m}, station_cell(run)});
    add_spots(run, candidates, auger_clues(run, candidates),
              {"auger hole", "A", {look.auger_holes, look.apart_m}, {}});
    write_spots(run);
}

}  // namespace lielow
