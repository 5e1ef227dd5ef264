// SPDX-License-Identifier: Apache-2.0
// What survey and tests say of the soil, on maps and by field, and where an auger is wanted.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "io/field_test_file.hpp"
#include "io/people_units.hpp"
#include "sim/auger_spots.hpp"
#include "sim/catchments.hpp"
#include "sim/drain_directions.hpp"
#include "sim/soil_wetness.hpp"
#include "sim/upslope.hpp"
#include "sim/zonal.hpp"
#include "tools/ramps.hpp"
#include "tools/site_run.hpp"
#include "tools/soil_readings.hpp"
#include "tools/stop.hpp"

namespace lielow {
namespace {

/// From sand's yellow to water's dark blue: the order can be told without colour sight, by lightness.
std::vector<RasterClass> drainage_classes() {
    constexpr std::size_t count = 8;
    const std::vector<Colour> colours = class_colours(reversed(find_ramp("viridis")), count);
    std::vector<RasterClass> classes;
    for (std::uint8_t k = 0; k < count; ++k)
        classes.push_back({k, std::string(drainage_name(static_cast<DrainageClass>(k))), colours.at(k)});
    return classes;
}

void write_drainage(SiteRun& run) {
    const Field<std::uint8_t>& drainage = run.soil.facts.drainage_class;
    if (drainage.empty()) return;
    Field<std::uint8_t> values = drainage.clone();
    for (std::size_t c = 0; c < values.size(); ++c) {
        if (run.dem.ground.known[c] == 0) values[c] = kNoClass;
    }
    write_class_raster(run.staging.path("rasters/soil_drainage.tif"), run.dem.geo, std::move(values),
                       {"soil_drainage", "Natural drainage class by soil survey and field tests", ""},
                       drainage_classes());
}

/// Depth of the water table in spring, or where that isn't known the shallowest of the year.
void write_water_table(SiteRun& run) {
    const SoilFacts& facts = run.soil.facts;
    const Field<float>& spring = facts.table_depth_spring_m;
    const Field<float>& year = facts.table_depth_year_m;
    if (spring.empty() && year.empty()) return;
    Field<float> depth = spring.empty() ? year.clone() : spring.clone();
    for (std::size_t c = 0; c < depth.size(); ++c) {
        if (std::isnan(depth[c]) && !year.empty()) depth[c] = year[c];
    }
    finish_raster(
        run, std::move(depth),
        {"soil_water_table",
         "Shallowest water table in April to June by soil survey and field tests, of the year where "
         "that isn't known",
         "m"});
}

/// Area-weighted mean over a field of what is known; NaN where nothing is.
double mean_over(const FarmField& field, const Field<float>& values) {
    double sum = 0;
    double all = 0;
    if (values.empty()) return NAN;
    for (std::size_t i = 0; i < field.cells.size(); ++i) {
        const auto value = static_cast<double>(values[field.cells[i]]);
        if (std::isnan(value)) continue;
        sum += static_cast<double>(field.share[i]) * value;
        all += static_cast<double>(field.share[i]);
    }
    return all > 0 ? sum / all : NAN;
}

/// Area of the classes wetter than moderately well drained; NaN where no class is known.
double wet_area(const SiteRun& run, const FarmField& field) {
    const Field<std::uint8_t>& drainage = run.soil.facts.drainage_class;
    if (drainage.empty()) return NAN;
    double area = 0;
    for (std::size_t i = 0; i < field.cells.size(); ++i) {
        const std::uint8_t k = drainage[field.cells[i]];
        const bool wet = k > static_cast<std::uint8_t>(DrainageClass::moderately_well) && k != kNoClass;
        if (wet) area += static_cast<double>(field.share[i]) * run.dem.ground.grid.cell_area();
    }
    return area;
}

void add_field_figures(SiteRun& run) {
    const SoilFacts& facts = run.soil.facts;
    for (std::size_t i = 0; i < run.fields.size(); ++i) {
        const FarmField& field = run.fields[i];
        auto& figures = run.summary.fields[i].figures;
        figures.push_back({"soil_wet_m2", wet_area(run, field),
                           "Area whose soil is somewhat poorly drained or wetter, by survey and tests"});
        figures.push_back({"soil_ph", mean_over(field, facts.ph), "Mean pH of the soil"});
        figures.push_back({"soil_available_water_m", mean_over(field, facts.available_water_m),
                           "Mean depth of water held for plants in the top metre"});
        figures.push_back({"soil_hard_share", mean_over(field, facts.hard_share),
                           "Mean share of penetrometer readings above 300 psi, where there are any"});
    }
}

std::array<double, 2> map_place(const SiteRun& run, const std::array<double, 2>& at_m) {
    const Grid& grid = run.dem.ground.grid;
    return run.dem.geo.at(at_m[0] / grid.dx, at_m[1] / grid.dy);
}

/// Middle of the cells that a test without a place stands for.
std::array<double, 2> middle_of(const SiteRun& run, const std::vector<std::uint32_t>& cells) {
    const Grid& grid = run.dem.ground.grid;
    const std::uint32_t cell = cells.at(cells.size() / 2);
    return {(cell % static_cast<std::uint32_t>(grid.cols) + 0.5) * grid.dx,
            (cell / static_cast<std::uint32_t>(grid.cols) + 0.5) * grid.dy};
}

void add_tests_layer(SiteRun& run) {
    if (run.soil.tests.empty()) return;
    VectorLayer layer{
        "soil_tests", "Tests of the soil made in the field, and how they read", Shape::point, {}, {}};
    std::vector<std::string> names, kinds, readings;
    for (const ReadTest& read : run.soil.tests) {
        const auto at = map_place(run, read.test.at_m ? *read.test.at_m : middle_of(run, read.test.cells));
        layer.geometries.push_back(point_wkb(at[0], at[1]));
        names.push_back(read.test.name);
        kinds.emplace_back(test_kind_name(read.test.kind));
        readings.push_back(test_reading(read, run.site.crop.kind.value_or(""), run.site.units));
    }
    layer.columns = {{"name", "Name of the test", std::move(names)},
                     {"kind", "Kind of the test", std::move(kinds)},
                     {"reading", "What it says", std::move(readings)}};
    run.layers.push_back(std::move(layer));
}

std::string reason(const AugerSpot& spot, PeopleUnits units) {
    const std::string wet = spot.hollow
                                ? fmt::format("a closed hollow {} deep",
                                              people_text(spot.hollow_depth_m, PeopleQuantity::height, units))
                                : fmt::format(
                                      "much ground drains through here and it is nearly level (wetness "
                                      "index {:.0f})",
                                      spot.wetness_index);
    return fmt::format(
        "take an auger here: {}, yet the survey says {}; a survey doesn't draw wet spots this small", wet,
        drainage_name(spot.said));
}

/// Returns how many there are.
std::size_t add_auger_spots(SiteRun& run) {
    const Ground& ground = run.dem.ground;
    const Grid& grid = ground.grid;
    const Catchments catchments = find_catchments(grid, ground.z);
    const Hollows hollows = find_hollows(grid, ground.z, catchments);
    const DrainDirections directions = drain_directions(grid, filled_ground(ground.z, catchments, hollows));
    const Field<float> wetness =
        wetness_index(grid, directions, upslope_area(grid, directions, FlowSplit::facets));
    const auto spots =
        auger_spots(grid, hollow_depth(ground.z, catchments, hollows), wetness, run.soil.by_survey);
    VectorLayer layer{
        "auger_spots", "Places that lie wet and that the soil survey calls dry", Shape::point, {}, {}};
    std::vector<std::string> reasons;
    std::vector<double> areas, depths;
    for (const AugerSpot& spot : spots) {
        const auto cols = static_cast<std::uint32_t>(grid.cols);
        const auto at = run.dem.geo.at(spot.cell % cols + 0.5, spot.cell / cols + 0.5);
        layer.geometries.push_back(point_wkb(at[0], at[1]));
        reasons.push_back(reason(spot, run.site.units));
        areas.push_back(spot.area_m2);
        depths.push_back(spot.hollow_depth_m);
    }
    layer.columns = {{"reason", "Why an auger is wanted here", std::move(reasons)},
                     {"area_m2", "Area that lies wet, m2", std::move(areas)},
                     {"hollow_depth_m", "Depth of the closed hollow here, m", std::move(depths)}};
    run.layers.push_back(std::move(layer));
    return spots.size();
}

}  // namespace

void run_soil(SiteRun& run) {
    if (!run.site.soil.known()) return;
    begin_stage(run, "what is known of the soil");
    PartRecord record{"soil", {}, {}};
    record.figures.push_back({"survey_outlines", static_cast<double>(run.soil.outlines), {}});
    record.figures.push_back({"survey_soils", static_cast<double>(run.soil.units), {}});
    record.figures.push_back({"field_tests", static_cast<double>(run.soil.tests.size()), {}});
    write_drainage(run);
    write_water_table(run);
    add_field_figures(run);
    add_tests_layer(run);
    if (!run.soil.by_survey.drainage_class.empty())
        record.figures.push_back({"auger_spots", static_cast<double>(add_auger_spots(run)), {}});
    run.summary.parts.push_back(std::move(record));
    run.summary.cautions.push_back(
        "What a soil survey says holds for outlines of acres: a wet half-acre inside one isn't drawn. Dig "
        "before "
        "planting, and ask a soil scientist where much hangs on it.");
}

}  // namespace lielow
