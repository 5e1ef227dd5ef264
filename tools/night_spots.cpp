// SPDX-License-Identifier: Apache-2.0
#include "tools/night_spots.hpp"

#include <fmt/chrono.h>
#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <cmath>
#include <fstream>
#include <limits>

#include "sim/compass.hpp"
#include "sim/errors.hpp"
#include "sim/hours_below.hpp"
#include "sim/night_map.hpp"
#include "tools/night_times.hpp"
#include "tools/raster_axes.hpp"
#include "tools/reference_spot.hpp"

namespace lielow {
namespace {

using enum PeopleQuantity;

constexpr double kelvin_zero_c = 273.15;

struct RowCol {
    std::int32_t row;
    std::int32_t col;
};

RowCol row_col(const Grid& grid, std::size_t cell) {
    const auto cols = static_cast<std::size_t>(grid.cols);
    return {static_cast<std::int32_t>(cell / cols), static_cast<std::int32_t>(cell % cols)};
}

/// Air temperature before anything has cooled, °C.
double evening_c(const NightSetup& setup, double z) {
    return setup.evening_air_k - kelvin_zero_c - dry_lapse * (z - setup.reference_elevation_m);
}

struct SpotAir {
    double temperature_c = 0;  ///< at plant height
    double cold_depth_m = 0;
};

SpotAir air_at(const Ground& ground, const NightResult& night, const NightSetup& setup,
               const IsothermSurfaces& surfaces, std::size_t cell) {
    const auto [row, col] = row_col(ground.grid, cell);
    const float z = ground.z[cell];
    float heights[StackParameters::most_sheets];
    surfaces.heights_over(row, col, z, heights);
    const ColumnScale scale{night.scale.sheet_step, surfaces.gradient_at(row, col)};
    const double deficit = deficit_at(scale, heights, surfaces.sheets(), setup.plant_height_m);
    return {evening_c(setup, static_cast<double>(z)) - deficit, static_cast<double>(heights[0])};
}

IsothermSurfaces surfaces_of(const Ground& ground, const NightResult& night, const NightState& state) {
    return {ground, night.plan, night.scale, night.ground, state.isotherm_height, &state.gradient};
}

SpotMoment moment_at(const SiteRun& run, const NightSetup& setup, const NightState& state,
                     const IsothermSurfaces& surfaces, const FaceFlow& flow, std::size_t cell) {
    const Ground& ground = run.dem.ground;
    const SpotAir air = air_at(ground, *run.night, setup, surfaces, cell);
    const auto [row, col] = row_col(ground.grid, cell);
    const Velocity v = flow.at((col + 0.5) * ground.grid.dx, (row + 0.5) * ground.grid.dy);
    const double speed = std::hypot(v.x, v.y);
    return {state.time_s, air.temperature_c, air.cold_depth_m, speed,
            speed < calm_m_s ? NAN : comes_from_deg(raster_axes(run.dem.geo), v.x, v.y)};
}

double hours_below(const std::vector<SpotMoment>& series, double threshold_c) {
    double seconds = 0;
    for (std::size_t n = 1; n < series.size(); ++n) {
        seconds += seconds_below(threshold_c, series[n - 1].temperature_c, series[n].temperature_c,
                                 series[n].time_s - series[n - 1].time_s);
    }
    return seconds / 3600;
}

/// A text as RFC 4180 wants it.
std::string csv_text(const std::string& text) {
    if (text.find_first_of(",\"\r\n") == std::string::npos) return text;
    std::string quoted = "\"";
    for (const char c : text) quoted += c == '"' ? "\"\"" : std::string(1, c);
    return quoted + "\"";
}

/// A unit as a column's name ends in it: "degF", "ft", "m_s".
std::string_view column_unit(PeopleQuantity quantity, PeopleUnits units) {
    const bool us = units == PeopleUnits::us;
    if (quantity == temperature) return us ? "degF" : "degC";
    if (quantity == speed) return us ? "mph" : "m_s";
    return us ? "ft" : "m";
}

const SpotMoment& coldest_of(const std::vector<SpotMoment>& series) {
    return *std::min_element(series.begin(), series.end(), [](const SpotMoment& a, const SpotMoment& b) {
        return a.temperature_c < b.temperature_c;
    });
}

SpotRecord record_of(const SiteRun& run, const PlacedSpot& placed, const std::vector<SpotMoment>& series,
                     double sunset_s) {
    const SpotMoment& coldest = coldest_of(series);
    SpotRecord record{placed.spot.name, placed.spot.x, placed.spot.y, {}, {}};
    record.figures.push_back({"elevation_m", static_cast<double>(run.dem.ground.z[placed.cell]), {}});
    record.figures.push_back({"lowest_c", coldest.temperature_c, {}});
    record.figures.push_back({"lowest_after_sunset_h", coldest.time_s / 3600, {}});
    for (const double t : run.site.night.hours_below_k) {
        record.figures.push_back({hours_below_name(t, run.site.units) + "_h",
                                  hours_below(series, t - kelvin_zero_c),
                                  "Hours of the night below that temperature at plant height"});
    }
    record.figures.push_back({"cold_depth_at_lowest_m", coldest.cold_depth_m, {}});
    record.figures.push_back({"flow_at_lowest_m_s", coldest.flow_m_s, {}});
    record.figures.push_back({"flow_from_at_lowest_deg", coldest.flow_from_deg, {}});
    record.words.emplace_back("lowest_at", clock_text(run.site, run.dem.geo, sunset_s + coldest.time_s));
    return record;
}

VectorLayer spots_layer(const std::vector<PlacedSpot>& spots, const std::vector<SpotRecord>& records) {
    VectorLayer layer{"spots", "Named spots and their night", Shape::point, {}, {}};
    std::vector<std::string> names, times;
    for (std::size_t n = 0; n < spots.size(); ++n) {
        layer.geometries.push_back(point_wkb(spots[n].spot.x, spots[n].spot.y));
        names.push_back(spots[n].spot.name);
        times.push_back(records[n].words.front().second);
    }
    layer.columns.push_back({"name", "Name of the spot", std::move(names)});
    layer.columns.push_back({"lowest_at", "Clock time of its lowest air temperature", std::move(times)});
    for (std::size_t f = 0; f < records.front().figures.size(); ++f) {
        const NamedFigure& first = records.front().figures[f];
        std::vector<double> values;
        values.reserve(records.size());
        for (const SpotRecord& record : records) values.push_back(record.figures[f].value);
        layer.columns.push_back({first.name, first.meaning, std::move(values)});
    }
    return layer;
}

}  // namespace

std::vector<PlacedSpot> read_site_spots(const Site& site, const Dem& dem, std::vector<std::string>& notes) {
    std::vector<Spot> spots;
    if (site.spots.file) spots = read_spots(*site.spots.file, dem.geo, notes);
    if (site.spots.at) {
        for (Spot& spot : spots_in_text(*site.spots.at)) spots.push_back(std::move(spot));
    }
    const std::string where = site.spots.file ? site.spots.file->filename().string() : site.file.string();
    check_spot_names(spots, where + ": ");
    std::vector<PlacedSpot> placed;
    for (Spot& spot : spots) {
        const auto cell = cell_at(dem, spot.x, spot.y);
        if (!cell) {
            throw InputError(fmt::format(
                "{}: the DEM has no ground at spot \"{}\" ({:.2f}, {:.2f} in the DEM's CRS); check "
                "its position or its CRS",
                where, spot.name, spot.x, spot.y));
        }
        placed.push_back({std::move(spot), *cell});
    }
    return placed;
}

std::string spots_text(const std::vector<PlacedSpot>& spots, const Dem& dem, PeopleUnits units) {
    std::string text;
    for (const PlacedSpot& placed : spots) {
        text += fmt::format("Spot {}: ground at {}.\n", placed.spot.name,
                            people_text(static_cast<double>(dem.ground.z[placed.cell]), height, units));
    }
    return text;
}

std::string hours_below_name(double threshold_k, PeopleUnits units) {
    // Rounded first: what comes out of kelvins a hair beside nought is nought.
    const double thousandths = std::round(1000 * to_people(threshold_k, temperature, units));
    std::string number = fmt::format("{:.4g}", thousandths / 1000);
    if (number == "-0") number = "0";
    if (number.front() == '-') number.replace(0, 1, "minus_");
    std::replace(number.begin(), number.end(), '.', '_');
    return fmt::format("hours_below_{}_{}", number, units == PeopleUnits::us ? "degf" : "degc");
}

std::vector<std::vector<SpotMoment>> spot_series(const SiteRun& run, const std::vector<PlacedSpot>& spots,
                                                 const NightSetup& setup, const FlowWatch& watch) {
    const NightResult& night = *run.night;
    std::vector<std::vector<SpotMoment>> series(spots.size());
    for (std::size_t s = 0; s < spots.size(); ++s)
        series[s].push_back(
            {0, evening_c(setup, static_cast<double>(run.dem.ground.z[spots[s].cell])), 0, 0, NAN});
    for (std::size_t n = 0; n < night.states.size(); ++n) {
        const NightState& state = night.states[n];
        const IsothermSurfaces surfaces = surfaces_of(run.dem.ground, night, state);
        for (std::size_t s = 0; s < spots.size(); ++s)
            series[s].push_back(moment_at(run, setup, state, surfaces, watch.at_states()[n], spots[s].cell));
    }
    return series;
}

SpotTemperatures spot_temperatures(const Ground& ground, const NightResult& night, const NightSetup& setup,
                                   std::span<const std::size_t> cells) {
    const auto spots = static_cast<std::int32_t>(cells.size());
    const auto moments = static_cast<std::int32_t>(night.states.size()) + 1;
    SpotTemperatures told{{0.0}, Field<double>(spots, moments)};
    for (std::int32_t s = 0; s < spots; ++s)
        told.celsius(s, 0) =
            evening_c(setup, static_cast<double>(ground.z[cells[static_cast<std::size_t>(s)]]));
    for (std::int32_t n = 1; n < moments; ++n) {
        const NightState& state = night.states[static_cast<std::size_t>(n) - 1];
        told.time_s.push_back(state.time_s);
        const IsothermSurfaces surfaces = surfaces_of(ground, night, state);
        for (std::int32_t s = 0; s < spots; ++s)
            told.celsius(s, n) =
                air_at(ground, night, setup, surfaces, cells[static_cast<std::size_t>(s)]).temperature_c;
    }
    return told;
}

std::string spots_csv(const SiteRun& run, const std::vector<PlacedSpot>& spots,
                      const std::vector<std::vector<SpotMoment>>& series, double sunset_s) {
    const PeopleUnits units = run.site.units;
    const auto midnight = std::chrono::sys_days(*run.site.night.date);
    const auto at = [&midnight](double utc_s) {
        return midnight + std::chrono::seconds(std::lround(utc_s / 60) * 60);
    };
    std::string text = fmt::format(
        "time_local,time_utc,spot,temperature_{},cold_depth_{},flow_speed_{},flow_comes_from_deg\n",
        column_unit(temperature, units), column_unit(height, units), column_unit(speed, units));
    for (std::size_t s = 0; s < spots.size(); ++s) {
        for (const SpotMoment& m : series[s]) {
            const double utc_s = sunset_s + m.time_s;
            const std::string from =
                std::isnan(m.flow_from_deg) ? "" : fmt::format("{}", std::lround(m.flow_from_deg) % 360);
            text += fmt::format(
                "{:%F %R},{:%FT%R}Z,{},{:.2f},{:.1f},{:.2f},{}\n",
                at(utc_s + clock_offset_s(run.site, run.dem.geo)), at(utc_s), csv_text(spots[s].spot.name),
                to_people(m.temperature_c + kelvin_zero_c, temperature, units),
                to_people(m.cold_depth_m, height, units), to_people(m.flow_m_s, speed, units), from);
        }
    }
    return text;
}

void write_spots(SiteRun& run, const std::vector<PlacedSpot>& spots, const NightSetup& setup,
                 const FlowWatch& watch, double sunset_s) {
    if (spots.empty()) return;
    begin_stage(run, "named spots");
    const auto series = spot_series(run, spots, setup, watch);
    for (std::size_t s = 0; s < spots.size(); ++s)
        run.summary.spots.push_back(record_of(run, spots[s], series[s], sunset_s));
    run.layers.push_back(spots_layer(spots, run.summary.spots));
    std::ofstream stream(run.staging.path("spots.csv"), std::ios::binary);
    stream << spots_csv(run, spots, series, sunset_s);
    stream.close();
    if (!stream) throw RunError("spots.csv can't be written; is the disk full?");
}

}  // namespace lielow
