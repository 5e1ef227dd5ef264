// SPDX-License-Identifier: Apache-2.0
#include "tools/report_data.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <nlohmann/json.hpp>

#include "tools/report_night.hpp"
#include "tools/report_text.hpp"

namespace lielow {
namespace {

using Json = nlohmann::ordered_json;
using enum PeopleQuantity;

double to_tenth(double v) {
    return std::round(v * 10) / 10;
}

double to_hundredth(double v) {
    return std::round(v * 100) / 100;
}

Json parts_json(const std::vector<ShapePart>& parts) {
    Json json = Json::array();
    for (const ShapePart& part : parts) {
        Json places = Json::array();
        for (const auto& [x, y] : part) places.push_back({to_tenth(x), to_tenth(y)});
        json.push_back(places);
    }
    return json;
}

Json fields_json(const ReportGround& ground, const Summary& summary) {
    Json json = Json::array();
    for (std::size_t f = 0; f < summary.fields.size(); ++f) {
        double x = 0;
        double y = 0;
        double count = 0;
        for (std::size_t cell = 0; cell < ground.field_number.size(); ++cell) {
            if (ground.field_number[cell] != f) continue;
            x += static_cast<double>(cell % static_cast<std::size_t>(ground.field_number.cols())) + 0.5;
            y += static_cast<double>(cell / static_cast<std::size_t>(ground.field_number.cols())) + 0.5;
            ++count;
        }
        count = std::max(count, 1.0);
        Json field = {
            {"name", summary.fields[f].name},
            {"middle", {to_tenth(x / count * ground.cell_x_m), to_tenth(y / count * ground.cell_y_m)}}};
        field["parts"] =
            f < ground.still.fields.size() ? parts_json(ground.still.fields[f].parts) : Json::array();
        json.push_back(field);
    }
    return json;
}

/// Lines that can be laid over a map.
Json lines_json(const SiteRun& run) {
    struct Line {
        const char* layer;
        const char* title;
        const char* colour;
        bool dashed;
    };
    constexpr std::array<Line, 4> lines{
        {{"cold_paths", "Ways of the cold air", "#4b2e83", false},
         {"drainage_ways", "Drainage ways", "#00557f", false},
         {"hollows", "Closed hollows", "#005f56", true},
         {"field_sources", "Ground that drains into the fields", "#7a4a00", true}}};
    Json json = Json::array();
    for (const Line& line : lines) {
        const auto shapes =
            read_result_shapes(run.staging.path("sites.gpkg"), line.layer, run.dem.ground.grid, run.dem.geo);
        if (shapes.empty()) continue;
        Json list = Json::array();
        for (const ResultShape& shape : shapes) list.push_back({{"parts", parts_json(shape.parts)}});
        json.push_back({{"name", line.layer},
                        {"title", line.title},
                        {"colour", line.colour},
                        {"dashed", line.dashed},
                        {"shapes", list}});
    }
    return json;
}

/// Points with a name: the named spots, and where measuring would tell most.
Json points_json(const SiteRun& run, const ReportGround& ground) {
    Json sets = Json::array();
    if (run.night_hours && !run.night_hours->spots.empty()) {
        Json points = Json::array();
        for (const SpotNight& spot : run.night_hours->spots)
            points.push_back({{"name", spot.name}, {"x_m", to_tenth(spot.x_m)}, {"y_m", to_tenth(spot.y_m)}});
        sets.push_back({{"title", "Named spots"}, {"points", points}});
    }
    if (!ground.places.empty()) {
        Json points = Json::array();
        for (const MeasurePlace& p : ground.places)
            points.push_back({{"name", p.what}, {"x_m", to_tenth(p.x_m)}, {"y_m", to_tenth(p.y_m)}});
        sets.push_back({{"title", "Where to measure"}, {"points", points}});
    }
    return sets;
}

/// Classes that serve every hour alike: those of the whole night from its coldest to its evening.
ReportLayer hours_layer(const NightHours& hours, PeopleUnits units) {
    Look look = *look_of("night_low");
    look.label = "air temperature at that hour";
    std::int32_t rows = 0;
    for (const NightHour& hour : hours.hours) rows += hour.temperature_c.rows();
    Field<float> all(rows, hours.grid.cols);
    std::size_t at = 0;
    for (const NightHour& hour : hours.hours) {
        for (const float t : hour.temperature_c.all()) all[at++] = t;
    }
    ReportLayer layer{look, {std::move(all), {}, {}}, report_unit(temperature, units, true), {}, {}, {}};
    classify(layer, units);
    return layer;
}

Json night_json(const NightHours& night, PeopleUnits units) {
    constexpr double degrees = 0.02;
    constexpr double metres_a_second = 0.005;
    Json hours = Json::array();
    for (const NightHour& hour : night.hours) {
        const auto grid = [&](const Field<float>& values, double step) {
            return grid_json(values, night.grid.dx, night.grid.dy, step, false);
        };
        hours.push_back({{"clock", hour.clock},
                         {"after_sunset_h", to_tenth(hour.after_sunset_s / 3600)},
                         {"temperature", grid(hour.temperature_c, degrees)},
                         {"along", grid(hour.along_m_s, metres_a_second)},
                         {"down", grid(hour.down_m_s, metres_a_second)}});
    }
    Json spots = Json::array();
    for (const SpotNight& spot : night.spots) {
        Json when = Json::array();
        Json what = Json::array();
        for (const SpotMoment& m : spot.moments) {
            when.push_back(std::round(m.time_s / 3.6) / 1000);
            what.push_back(to_hundredth(m.temperature_c));
        }
        spots.push_back({{"name", spot.name}, {"after_sunset_h", when}, {"temperature_c", what}});
    }
    return {{"sunset", night.sunset},
            {"layer", layer_json(hours_layer(night, units))},
            {"hours", hours},
            {"spots", spots}};
}

Json stage_json(const SiteRun& run, const ReportGround& ground, PeopleUnits units) {
    constexpr double twenty_feet_m = 6.096;
    const PartRecord& water = *report_part(run.summary, "water");
    const double asked = part_figure(water, "stage_m");
    Json lows = Json::array();
    for (const FieldRecord& field : run.summary.fields) {
        for (const NamedFigure& figure : field.figures) {
            if (figure.name == "low_point_m")
                lows.push_back(std::isfinite(figure.value) ? Json(figure.value) : Json());
        }
    }
    Json names = Json::array();
    for (const char* name : {"field_fill_stage", "fill_stage"}) {
        if (find_layer(ground.layers, name) != nullptr) names.push_back(name);
    }
    return {{"layer", layer_json(stage_layer(units))},
            {"names", names},
            {"asked_m", asked},
            {"most_m", std::max(twenty_feet_m, asked)},
            {"ground_low_m", part_figure(water, "ground_low_point_m")},
            {"field_low_m", lows}};
}

Json units_json(PeopleUnits units) {
    return {{"system", units == PeopleUnits::us ? "us" : "si"},
            {"height", unit_json(report_unit(height, units))},
            {"area", unit_json(report_unit(area, units))},
            {"speed", unit_json(report_unit(speed, units))}};
}

Json grids_json(const SiteRun& run, const ReportGround& ground) {
    constexpr double height_step_m = 0.02;
    Json grids = Json::object();
    const auto add = [&](const std::string& name, const Field<float>& values, double step, bool by_factors) {
        grids[name] = grid_json(values, ground.cell_x_m, ground.cell_y_m, step, by_factors);
    };
    add("ground", thinned(run.dem.ground.z, ground.every), height_step_m, false);
    grids["field_number"] = grid_json(ground.field_number, ground.cell_x_m, ground.cell_y_m);
    for (const ReportLayer& layer : ground.layers) {
        if (layer.grid.classes.empty()) {
            add(layer.look.raster, layer.grid.values, layer.look.step_si, layer.look.by_factors);
            continue;
        }
        Field<std::uint8_t> classes(layer.grid.values.rows(), layer.grid.values.cols());
        for (std::size_t n = 0; n < classes.size(); ++n) {
            const float v = layer.grid.values[n];
            classes[n] = std::isnan(v) ? kNoClass : static_cast<std::uint8_t>(v);
        }
        grids[layer.look.raster] = grid_json(classes, ground.cell_x_m, ground.cell_y_m);
    }
    return grids;
}

}  // namespace

ReportLayer stage_layer(PeopleUnits units) {
    Look look = *look_of("fill_depth");
    look.raster = "stage";
    look.title = "Water at the level asked for";
    ReportLayer layer{look, {}, report_unit(height, units), {}, {}, {}};
    classify(layer, units);
    return layer;
}

Json report_data(const SiteRun& run, const ReportGround& ground, const Remedies& remedies) {
    const PeopleUnits units = run.site.units;
    const Grid& grid = run.dem.ground.grid;
    Json data;
    data["units"] = units_json(units);
    data["ground"] = {{"width_m", to_tenth(grid.cols * grid.dx)},
                      {"height_m", to_tenth(grid.rows * grid.dy)},
                      {"north_deg", to_tenth(ground.still.north_deg)}};
    data["fields"] = fields_json(ground, run.summary);
    data["lines"] = lines_json(run);
    data["points"] = points_json(run, ground);
    data["layers"] = Json::object();
    for (const ReportLayer& layer : ground.layers) data["layers"][layer.look.raster] = layer_json(layer);
    if (run.night_hours) data["night"] = night_json(*run.night_hours, units);
    if (find_layer(ground.layers, "fill_stage") != nullptr && report_part(run.summary, "water") != nullptr)
        data["stage"] = stage_json(run, ground, units);
    data["grids"] = grids_json(run, ground);
    if (remedies.of_this_site) {
        data["remedies"] = {{"pairs", remedies.pairs}};
        data["grids"].update(remedies.grids);
    }
    return data;
}

}  // namespace lielow
