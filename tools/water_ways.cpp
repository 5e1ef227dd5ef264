// SPDX-License-Identifier: Apache-2.0
#include "tools/water_ways.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <limits>

#include "io/way_layers.hpp"
#include "sim/drainage_ways.hpp"
#include "sim/upslope.hpp"

namespace lielow {
namespace {

/// Cells mostly inside the field; those at least partly inside when none lies mostly inside.
std::vector<std::uint32_t> cells_inside(const FarmField& field) {
    std::vector<std::uint32_t> cells;
    for (std::size_t i = 0; i < field.cells.size(); ++i) {
        if (field.share[i] > 0.5F) cells.push_back(field.cells[i]);
    }
    return cells.empty() ? field.cells : cells;
}

void add_sources(SiteRun& run, const DrainDirections& directions) {
    const Grid& grid = run.dem.ground.grid;
    std::vector<Wkb> outlines;
    std::vector<std::string> names;
    std::vector<double> areas;
    for (std::size_t i = 0; i < run.fields.size(); ++i) {
        const std::vector<std::uint32_t> inside = cells_inside(run.fields[i]);
        const Field<std::uint8_t> source = source_of(directions, inside);
        const auto cells =
            static_cast<std::size_t>(std::count(source.all().begin(), source.all().end(), std::uint8_t{1}));
        const double above = static_cast<double>(cells - inside.size()) * grid.cell_area();
        run.summary.fields[i].figures.push_back(
            {"upslope_m2", above, "Area outside the field whose water runs through it, hollows full"});
        Field<std::int32_t> label(grid.rows, grid.cols);
        for (std::size_t cell = 0; cell < label.size(); ++cell) label[cell] = source[cell] - 1;
        outlines.push_back(std::move(outlines_of_labels(run.dem.geo, std::move(label), 1).front()));
        names.push_back(run.fields[i].name);
        areas.push_back(static_cast<double>(cells) * grid.cell_area());
    }
    run.layers.push_back(field_sources_layer(std::move(outlines), std::move(names), std::move(areas)));
}

void write_wetness(SiteRun& run, const DrainDirections& directions) {
    const Grid& grid = run.dem.ground.grid;
    const Field<double> area = upslope_area(grid, directions, FlowSplit::facets);
    finish_raster(
        run, wetness_index(grid, directions, area),
        {"wetness_index",
         "Wetness index ln(a / tan slope), a the upslope area per cell width in metres, hollows full", ""});
    Field<float> upslope(grid.rows, grid.cols);
    std::transform(area.all().begin(), area.all().end(), upslope.data(),
                   [](double a) { return static_cast<float>(a); });
    finish_raster(
        run, std::move(upslope),
        {"drainage_way", "Area that drains through the cell, its own included, hollows full", "m2"});
}

}  // namespace

void run_ways(SiteRun& run, const Catchments& catchments, const Hollows& hollows, PartRecord& record) {
    begin_stage(run, "ways of the water");
    const Grid& grid = run.dem.ground.grid;
    const double least = run.site.water.way_area_m2;
    const DrainDirections directions =
        drain_directions(grid, filled_ground(run.dem.ground.z, catchments, hollows));
    write_wetness(run, directions);
    const Field<double> area = upslope_area(grid, directions, FlowSplit::single);
    const std::vector<DrainageWay> ways = drainage_ways(grid, directions, area, least);
    double length = 0;
    for (const DrainageWay& way : ways) length += way.length_m;
    record.figures.push_back({"way_area_m2", least, {}});
    record.figures.push_back({"drainage_ways_m", length, {}});
    run.layers.push_back(drainage_ways_layer(run.dem.geo, grid, ways));
    finish_raster(
        run, height_above_way(directions, area, least),
        {"height_above_way",
         "Height above the drainage way that the cell's water reaches, hollows full; no value where "
         "it leaves the ground before",
         "m"});
    add_sources(run, directions);
}

}  // namespace lielow
