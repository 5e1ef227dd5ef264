// SPDX-License-Identifier: Apache-2.0
#include "tools/night_flow.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <numeric>

#include "sim/compass.hpp"
#include "sim/errors.hpp"
#include "sim/flow_paths.hpp"
#include "tools/night_spots.hpp"
#include "tools/night_times.hpp"
#include "tools/raster_axes.hpp"

namespace lielow {
namespace {

constexpr double day_s = 86400;

/// The flow that is mapped, and how people are told of when it is.
struct MappedFlow {
    const FaceFlow* flow;
    std::string when;
};

/// Seconds after sunset of night.flow_hour.
double after_sunset(const Site& site, const Dem& dem, double sunset_s) {
    const double wanted = *site.night.flow_hour_s - clock_offset_s(site, dem.geo) - sunset_s;
    return wanted - day_s * std::floor(wanted / day_s);
}

/// The kept state nearest to the hour asked for, or the mean.
MappedFlow mapped_flow(const SiteRun& run, const FlowWatch& watch, const FaceFlow& mean, double sunset_s) {
    if (!run.site.night.flow_hour_s) return {&mean, "mean of the night"};
    const double wanted = after_sunset(run.site, run.dem, sunset_s);
    const auto& states = run.night->states;
    const auto nearest = std::min_element(states.begin(), states.end(), [&](const auto& a, const auto& b) {
        return std::abs(a.time_s - wanted) < std::abs(b.time_s - wanted);
    });
    return {&watch.at_states()[static_cast<std::size_t>(nearest - states.begin())],
            fmt::format("at {}", clock_text(run.site, run.dem.geo, sunset_s + nearest->time_s))};
}

/// Speed on the DEM's cells, m/s, and where the air comes from, degrees; NaN where calm or unknown.
void map_flow(const SiteRun& run, const FaceFlow& flow, Field<float>& speed, Field<float>& from) {
    const Ground& ground = run.dem.ground;
    const RasterAxes axes = raster_axes(run.dem.geo);
#pragma omp parallel for schedule(static)
    for (std::int32_t j = 0; j < ground.grid.rows; ++j) {
        for (std::int32_t i = 0; i < ground.grid.cols; ++i) {
            const Velocity v = flow.at((i + 0.5) * ground.grid.dx, (j + 0.5) * ground.grid.dy);
            const double s = std::hypot(v.x, v.y);
            speed(j, i) = static_cast<float>(s);
            const bool told = s >= calm_m_s && ground.known(j, i) != 0;
            from(j, i) = told ? static_cast<float>(comes_from_deg(axes, v.x, v.y)) : NAN;
        }
    }
}

/// Arrows for a map: one for a block of cells, some thirty along the longer side.
VectorLayer arrows_layer(const SiteRun& run, const MappedFlow& mapped) {
    constexpr int along_longer_side = 30;
    const FaceFlow& flow = *mapped.flow;
    const Grid& grid = flow.grid;
    const RasterAxes axes = raster_axes(run.dem.geo);
    const double longer = std::max(grid.cols * grid.dx, grid.rows * grid.dy);
    const double spacing = std::max({longer / along_longer_side, grid.dx, grid.dy});
    VectorLayer layer{"flow_arrows",
                      fmt::format("Flow of the cold air near the ground, {}, on thinned points", mapped.when),
                      Shape::point,
                      {},
                      {}};
    std::vector<double> speed, from, to;
    const Grid& fine = run.dem.ground.grid;
    for (double y = spacing / 2; y < fine.rows * fine.dy; y += spacing) {
        for (double x = spacing / 2; x < fine.cols * fine.dx; x += spacing) {
            const Velocity v = flow.at(x, y);
            const double s = std::hypot(v.x, v.y);
            if (s < calm_m_s) continue;
            const auto at = map_place(run.dem.geo, fine, x, y);
            layer.geometries.push_back(point_wkb(at[0], at[1]));
            speed.push_back(s);
            from.push_back(comes_from_deg(axes, v.x, v.y));
            to.push_back(bearing_deg(axes, v.x, v.y));
        }
    }
    layer.columns.push_back({"speed_m_s", "Speed of the cold air, metres a second", std::move(speed)});
    layer.columns.push_back(
        {"comes_from_deg",
         "Direction the air comes FROM, degrees clockwise from grid north: 0 north, 90 east",
         std::move(from)});
    layer.columns.push_back(
        {"goes_to_deg", "Direction the air goes to, degrees clockwise from grid north, for turning an arrow",
         std::move(to)});
    return layer;
}

std::string_view end_text(PathEnd end) {
    switch (end) {
        case PathEnd::rest:
            return "comes to rest";
        case PathEnd::edge:
            return "leaves the ground";
        case PathEnd::joined:
            return "runs on beside another";
        case PathEnd::limit:
            break;
    }
    return "goes on";
}

VectorLayer paths_layer(const SiteRun& run, const FaceFlow& mean) {
    constexpr double along_longer_side = 28;
    constexpr double slowest = 0.03;  // m/s
    const Grid& grid = mean.grid;
    const double longer = std::max(grid.cols * grid.dx, grid.rows * grid.dy);
    const double separation = std::max({longer / along_longer_side, 2 * grid.dx, 2 * grid.dy});
    VectorLayer layer{"cold_paths",
                      "Ways the cold air takes near the ground in the mean of the night, drawn downstream, "
                      "evenly spaced",
                      Shape::line,
                      {},
                      {}};
    std::vector<double> length, speed, minutes;
    std::vector<std::string> ends;
    for (const SpacedPath& path : spaced_paths(mean, separation, slowest)) {
        std::vector<std::array<double, 2>> corners;
        for (const Place& p : path.places)
            corners.push_back(map_place(run.dem.geo, run.dem.ground.grid, p.x, p.y));
        layer.geometries.push_back(line_wkb(corners));
        length.push_back(path.length);
        speed.push_back(path.mean_speed);
        minutes.push_back(path.seconds / 60);
        ends.emplace_back(end_text(path.end));
    }
    layer.columns.push_back({"length_m", "Length, metres", std::move(length)});
    layer.columns.push_back({"mean_speed_m_s", "Mean speed along it, metres a second", std::move(speed)});
    layer.columns.push_back({"travel_min", "Time the air takes along it, minutes", std::move(minutes)});
    layer.columns.push_back({"ends", "What happens at its lower end", std::move(ends)});
    return layer;
}

double total(const std::array<double, compass_sectors>& sums) {
    return std::accumulate(sums.begin(), sums.end(), 0.0);
}

/// Vector mean of the flow over a field's cells.
Velocity mean_over(const FaceFlow& flow, const FieldCells& field) {
    Velocity sum;
    for (const std::size_t cell : field.cells) {
        const auto cols = static_cast<std::size_t>(flow.grid.cols);
        const Velocity v =
            flow.in_cell(static_cast<std::int32_t>(cell / cols), static_cast<std::int32_t>(cell % cols));
        sum.x += v.x;
        sum.y += v.y;
    }
    const auto count = static_cast<double>(std::max<std::size_t>(field.cells.size(), 1));
    return {sum.x / count, sum.y / count};
}

void record_field(const SiteRun& run, const NightSetup& setup, const FaceFlow& mean,
                  const std::optional<WiderFlow>& around, const BorderMeter& meter, FieldRecord& record) {
    const BorderSums& sums = meter.sums();
    const double t = setup.duration_s;
    const double kw = air_heat_capacity(setup.evening_air_k, setup.reference_elevation_m) / t / 1000;
    for (std::size_t side = 0; side < compass_sectors; ++side) {
        record.sides.push_back({std::string(compass_name(static_cast<int>(side))), sums.air_in_m3[side] / t,
                                sums.air_out_m3[side] / t, sums.cold_in_k_m3[side] * kw,
                                sums.cold_out_k_m3[side] * kw, sums.low_in_k_m3[side] * kw});
    }
    const double in = total(sums.cold_in_k_m3);
    const double out = total(sums.cold_out_k_m3);
    const double formed = sums.content_k_m3 - (in - out);  // at sunset there is none
    const Velocity flow = mean_over(mean, meter.field());
    const double flow_speed = std::hypot(flow.x, flow.y);
    const double from =
        flow_speed < calm_m_s ? NAN : comes_from_deg(raster_axes(run.dem.geo), flow.x, flow.y);
    const auto add = [&record](const char* name, double value, const char* meaning) {
        record.figures.push_back({name, value, meaning});
    };
    add("cold_air_in_m3_s", total(sums.air_in_m3) / t,
        "Cold air that came in over the border, mean of the night, cubic metres a second");
    add("cold_air_out_m3_s", total(sums.air_out_m3) / t,
        "Cold air that went out over the border, mean of the night, cubic metres a second");
    add("cold_in_kw", in * kw,
        "Cold (missing heat) that came in over the border, mean of the night, kilowatts");
    add("cold_out_kw", out * kw,
        "Cold (missing heat) that went out over the border, mean of the night, kilowatts");
    add("cold_formed_kw", formed * kw,
        "Cold that formed over the field itself, mean of the night, kilowatts");
    add("flow_mean_m_s", flow_speed,
        "Speed of the mean flow of the lowest air over the field, metres a second");
    add("flow_mean_from_deg", from, "Direction that mean flow comes FROM, degrees clockwise from grid north");
    add("air_from_edge_share", share_from_edge(mean, meter, t, around ? &*around : nullptr),
        "Share of the air that came into the field which the mean flow brought from the edge of all ground "
        "known");
    record.cold_comes = cold_comes_text(record.sides, formed * kw);
    constexpr double hardly_moves = 0.05;  // m/s: 0.1 mph
    record.cold_comes += flow_speed < hardly_moves
                             ? "; the air near the ground hardly moves"
                             : fmt::format("; near the ground the air moves at {} from the {}",
                                           people_text(flow_speed, PeopleQuantity::speed, run.site.units),
                                           compass_name(compass_sector(from)));
}

/// One line when the DEM is too small for where the fields' air comes from.
void caution_edges(SiteRun& run) {
    constexpr double worth_telling = 0.2;
    std::vector<std::string> fields;
    for (const FieldRecord& field : run.summary.fields) {
        for (const NamedFigure& figure : field.figures) {
            if (figure.name == "air_from_edge_share" && figure.value > worth_telling)
                fields.push_back(fmt::format("{:.0f} % into {}", 100 * figure.value, field.name));
        }
    }
    if (fields.empty()) return;
    const bool around = run.site.ground.around.has_value();
    run.summary.cautions.push_back(fmt::format(
        "Cold air flows into fields from beyond {} edge, where nothing is known of the ground: {}. {}.",
        around ? "ground.around's" : "the DEM's", fmt::join(fields, ", "),
        around ? "Take a ground.around that reaches farther to where the air comes from"
               : "Take a DEM that reaches farther to where the air comes from, or name a coarser one under "
                 "ground.around"));
}

}  // namespace

std::string_view compass_name(int sector) {
    static constexpr std::array<std::string_view, compass_sectors> names{"N", "NE", "E", "SE",
                                                                         "S", "SW", "W", "NW"};
    return names.at(static_cast<std::size_t>(sector));
}

std::string cold_comes_text(const std::vector<SideRecord>& sides, double formed_kw) {
    constexpr double hardly_any = 0.1;  // of what forms on the field
    constexpr double told = 0.75;       // of the cold that comes in
    double in = 0;
    for (const SideRecord& side : sides) in += side.low_cold_in_kw;
    if (!(in > hardly_any * std::max(formed_kw, 0.0)))
        return "hardly any cold air comes in; its cold forms on it";
    std::vector<SideRecord> order = sides;
    std::stable_sort(order.begin(), order.end(), [](const SideRecord& a, const SideRecord& b) {
        return a.low_cold_in_kw > b.low_cold_in_kw;
    });
    std::vector<std::string> names;
    double share = 0;
    for (std::size_t n = 0; n < 3 && share < told; ++n) {
        share += order[n].low_cold_in_kw / in;
        names.push_back(fmt::format("{} ({:.0f} %)", order[n].side, 100 * order[n].low_cold_in_kw / in));
    }
    if (order.front().low_cold_in_kw > 0.5 * in)
        return fmt::format("most of its cold air comes in over its {} side ({:.0f} %)", order.front().side,
                           100 * order.front().low_cold_in_kw / in);
    return fmt::format("its cold air comes in over its {} sides", fmt::join(names, ", "));
}

FlowWatch flow_watch(const SiteRun& run, const NightPlan& plan) {
    std::vector<BorderMeter> borders;
    const RasterAxes axes = raster_axes(run.dem.geo);
    for (const FarmField& field : run.fields) {
        const Field<float> cover =
            covered_share(run.dem.ground.grid, plan.blocks, {field.cells, field.share});
        borders.emplace_back(plan.grid, field_cells(plan.grid, cover, axes), plan.sheet_step_k,
                             run.site.night.flow_height_m);
    }
    return {plan, run.site.night.flow_height_m, std::move(borders)};
}

void check_flow_hour(const Site& site, const Dem& dem, double sunset_s, double length_s) {
    if (!site.night.flow_hour_s || after_sunset(site, dem, sunset_s) <= length_s) return;
    const double utc_s = sunset_s + after_sunset(site, dem, sunset_s);
    throw InputError(fmt::format("{}: night.flow_hour: {} lies outside the night, which lasts from {} to {}",
                                 site.file.string(), clock_text(site, dem.geo, utc_s),
                                 clock_text(site, dem.geo, sunset_s),
                                 clock_text(site, dem.geo, sunset_s + length_s)));
}

void write_flow(SiteRun& run, const FlowWatch& watch, const std::optional<WiderFlow>& around,
                const NightSetup& setup, double sunset_s, PartRecord& record) {
    begin_stage(run, "flow of the cold air");
    const FaceFlow mean = watch.mean();
    const MappedFlow mapped = mapped_flow(run, watch, mean, sunset_s);
    record.words.emplace_back("flow_mapped", mapped.when);
    record.figures.push_back({"flow_height_m", run.site.night.flow_height_m, {}});
    Field<float> speed(run.dem.ground.grid.rows, run.dem.ground.grid.cols);
    Field<float> from(speed.rows(), speed.cols());
    map_flow(run, *mapped.flow, speed, from);
    finish_raster(run, std::move(speed),
                  {"flow_speed",
                   fmt::format("Speed of the cold air up to {:.2f} m above the ground, {}",
                               run.site.night.flow_height_m, mapped.when),
                   "m/s"});
    // Directions have no median: the fields' figures are those of the mean flow.
    write_raster(
        run.staging.path("rasters/flow_from.tif"), run.dem.geo, std::move(from),
        {"flow_from",
         fmt::format("Direction the cold air comes FROM, degrees clockwise from grid north, no value "
                     "where it is calm, {}",
                     mapped.when),
         "degree"});
    run.layers.push_back(arrows_layer(run, mapped));
    run.layers.push_back(paths_layer(run, mean));
    if (!run.site.ground.fields) return;  // the border would be the DEM's own edge
    for (std::size_t i = 0; i < run.fields.size(); ++i)
        record_field(run, setup, mean, around, watch.borders()[i], run.summary.fields[i]);
    caution_edges(run);
}

}  // namespace lielow
