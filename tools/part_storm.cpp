// SPDX-License-Identifier: Apache-2.0
#include "tools/part_storm.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <fstream>
#include <limits>

#include "io/line_file.hpp"
#include "io/people_units.hpp"
#include "io/rain_table.hpp"
#include "sim/errors.hpp"
#include "sim/fine_storm.hpp"
#include "sim/storm_flow.hpp"
#include "sim/storm_plan.hpp"
#include "sim/zonal.hpp"
#include "tools/archive_storm.hpp"
#include "tools/stop.hpp"

namespace lielow {
namespace {

constexpr double inch_m = 0.0254;

RainShape shape_of(std::string_view name) {
    if (name == "type I") return RainShape::type_i;
    if (name == "type IA") return RainShape::type_ia;
    if (name == "type II") return RainShape::type_ii;
    if (name == "type III") return RainShape::type_iii;
    return RainShape::uniform;
}

MassCurve rain_of(const Site& site) {
    const StormRunSettings& s = site.water.run;
    if (s.table && s.shape)
        throw InputError("water.storm_table and water.storm_shape exclude each other; keep one of the two");
    if (s.table) return read_rain_table(*s.table);
    if (!site.water.storm_m)
        throw InputError(
            "water.storm_shape needs water.storm, the depth of rain, beside it; such as storm = \"3 in\"");
    try {
        return storm_of_shape(shape_of(*s.shape), *site.water.storm_m, s.duration_s);
    } catch (const InputError& error) {
        throw InputError(fmt::format("water.storm: {}", error.what()));
    }
}

StormLoss loss_of(const Site& site) {
    const StormRunSettings& s = site.water.run;
    if (s.curve_number && (s.texture || s.conductivity))
        throw InputError("water.curve_number and water.soil_texture exclude each other; keep one of the two");
    if (s.conductivity && !s.texture)
        throw InputError(
            "water.soil_conductivity needs water.soil_texture beside it, for the soil's suction and pores");
    if (s.curve_number) {
        const Antecedent moisture = s.antecedent == "dry"   ? Antecedent::dry
                                    : s.antecedent == "wet" ? Antecedent::wet
                                                            : Antecedent::average;
        return CurveLosses{{curve_loss(std::max(1.0, curve_number_for(*s.curve_number, moisture)))}, {}};
    }
    if (!s.texture) return ShareLoss{site.water.runoff_share};
    GreenAmptSoil soil = soil_of_texture(*s.texture, s.saturation);
    if (s.conductivity) soil.conductivity = *s.conductivity;
    return GreenAmptLosses{{soil}, {}};
}

StormPlan plan_of(const SiteRun& run, const Blocks& blocks, MassCurve rain, std::vector<Polyline> lines) {
    const StormRunSettings& s = run.site.water.run;
    StormPlan plan = storm_plan(run.dem.ground, blocks, std::move(rain));
    plan.follow_s = s.follow_s;
    plan.loss = loss_of(run.site);
    plan.roughness = Field<float>(plan.grid.rows, plan.grid.cols, static_cast<float>(s.roughness));
    plan.deep.coefficient = s.deep_roughness;
    plan.lines = std::move(lines);
    return plan;
}

std::vector<NamedLine> lines_of(SiteRun& run) {
    if (!run.site.water.run.lines) return {};
    return read_named_lines(*run.site.water.run.lines, run.dem.ground.grid, run.dem.geo, run.summary.notes);
}

/// A name as a column of a table.
std::string column_name(std::string_view name) {
    std::string text;
    for (const char c : name) text.append(c == '"' ? 2 : 1, c);
    return fmt::format("\"{} m3_s\"", text);
}

void write_discharge(SiteRun& run, const StormResult& storm, const std::vector<NamedLine>& lines) {
    std::string text = "minutes,rain_mm_h,left_ground_m3_s";
    for (const NamedLine& line : lines) text += fmt::format(",{}", column_name(line.name));
    text += "\n";
    for (std::size_t n = 0; n < storm.times_s.size(); ++n) {
        text += fmt::format("{:.1f},{:.4f},{:.6g}", storm.times_s[n] / 60, storm.rain_m_s[n] * 3.6e6,
                            storm.outflow[n]);
        for (const auto& discharge : storm.discharge) text += fmt::format(",{:.6g}", discharge[n]);
        text += "\n";
    }
    std::ofstream stream(run.staging.path("storm_discharge.csv"), std::ios::binary);
    stream << text;
    stream.close();
    if (!stream) throw RunError("storm_discharge.csv can't be written; is the disk full?");
}

/// Greatest magnitude of a series, and when.
struct Peak {
    double value = 0;
    double hours = 0;
};
Peak peak_of(const std::vector<double>& series, const std::vector<double>& times_s) {
    Peak peak;
    for (std::size_t n = 0; n < series.size(); ++n) {
        if (std::abs(series[n]) > std::abs(peak.value)) peak = {series[n], times_s[n] / 3600};
    }
    return peak;
}

void add_record(SiteRun& run, const StormPlan& plan, const StormResult& storm,
                const std::vector<NamedLine>& lines) {
    PartRecord record{"storm", {}, {}};
    const Peak out = peak_of(storm.outflow, storm.times_s);
    const StormLedger& ledger = storm.ledger;
    record.figures = {{"rain_m", plan.rain.total_m(), {}},
                      {"rain_hours", plan.rain.duration_s() / 3600, {}},
                      {"peak_rain_m_s", plan.rain.peak_intensity(), {}},
                      {"cell_width_m", plan.grid.dx, {}},
                      {"cell_height_m", plan.grid.dy, {}},
                      {"steps", static_cast<double>(storm.steps), {}},
                      {"rain_m3", ledger.rain, {}},
                      {"infiltrated_m3", ledger.infiltrated, {}},
                      {"left_ground_m3", ledger.left, {}},
                      {"stored_m3", ledger.stored, {}},
                      {"balance_gap_share", ledger.gap(), {}},
                      {"peak_outflow_m3_s", out.value, {}},
                      {"peak_outflow_hours", out.hours, {}}};
    for (std::size_t n = 0; n < lines.size(); ++n) {
        const Peak peak = peak_of(storm.discharge[n], storm.times_s);
        record.words.emplace_back(
            "line: " + lines[n].name,
            fmt::format("peak {:.4g} m3/s {:.2f} h after the rain's start, {}", std::abs(peak.value),
                        peak.hours, peak.value < 0 ? "from right to left" : "from left to right"));
    }
    run.summary.parts.push_back(std::move(record));
    const double runoff = (ledger.rain - ledger.infiltrated) / ledger.rain;
    const PeopleUnits units = run.site.units;
    run.summary.notes.push_back(
        fmt::format("Of {} of rain {:.0f} % ran off; {:.0f} % of the rain had left the ground and {:.0f} % "
                    "still stood on it {:.1f} h "
                    "after the rain's start. What leaves the ground peaked at {} m3/s after {:.1f} h. Water "
                    "was followed on cells of {}",
                    people_text(plan.rain.total_m(), PeopleQuantity::small_depth, units), 100 * runoff,
                    100 * ledger.left / ledger.rain, 100 * ledger.stored / ledger.rain,
                    storm.times_s.back() / 3600, fmt::format("{:.3g}", out.value), out.hours,
                    people_text(plan.grid.dx, PeopleQuantity::height, units)));
}

/// Areas of each field under more than an inch at some time, and for a day.
void add_field_figures(SiteRun& run, const Field<float>& depth, const Field<float>& hours) {
    const Grid& grid = run.dem.ground.grid;
    for (std::size_t i = 0; i < run.fields.size(); ++i) {
        const Zone zone{run.fields[i].cells, run.fields[i].share};
        auto& figures = run.summary.fields[i].figures;
        figures.push_back({"storm_over_inch_m2",
                           zonal_area(grid, depth, zone, [](float d) { return d > inch_m; }),
                           "Area that the running storm puts under more than an inch of water at some time"});
        figures.push_back({"storm_over_inch_6h_m2",
                           zonal_area(grid, hours, zone, [](float h) { return h >= 6; }),
                           "Area under more than an inch of water for 6 h or longer, rain and after"});
    }
}

void write_rasters(SiteRun& run, const MassCurve& rain, Field<float>&& depth, Field<float>&& hours,
                   Field<float>&& speed) {
    add_field_figures(run, depth, hours);
    finish_raster(
        run, std::move(depth),
        {"storm_depth",
         fmt::format("Deepest water over the cell while {:.0f} mm of rain fell within {:.1f} h and ran off",
                     1000 * rain.total_m(), rain.duration_s() / 3600),
         "m"});
    finish_raster(run, std::move(hours),
                  {"storm_hours",
                   fmt::format("Hours under more than an inch of water, until {:.0f} h after the rain",
                               run.site.water.run.follow_s / 3600),
                   "h"});
    finish_raster(run, std::move(speed),
                  {"storm_speed",
                   "Greatest speed of the storm's water where it was deeper than 1 cm; 0 elsewhere", "m/s"});
}

}  // namespace

void check_storm_run(const Site& site) {
    if (!site.water.run.asked_for()) return;
    (void)rain_of(site);
    (void)loss_of(site);
}

void run_storm_hours(SiteRun& run, const Catchments& catchments, const Hollows& hollows,
                     const Field<float>& order) {
    if (!run.site.water.run.asked_for()) return;
    begin_stage(run, "storm through its hours");
    const StormRunSettings& s = run.site.water.run;
    const std::vector<NamedLine> lines = lines_of(run);
    std::vector<Polyline> shapes;
    for (const NamedLine& line : lines) shapes.push_back(line.line);
    MassCurve rain = rain_of(run.site);
    const double total_s = rain.duration_s() + s.follow_s;
    const Blocks blocks = storm_blocks(run.dem.ground.grid, s.cell_m, total_s);
    const StormPlan plan = plan_of(run, blocks, std::move(rain), std::move(shapes));
    FineStorm fine(run.dem.ground, plan, blocks, catchments, hollows, order);
    StormArchive archive(run, plan, blocks);
    const bool coarse = blocks.rows > 1 || blocks.cols > 1;
    StormResult storm =
        run_storm<double>(plan, [&](const StormMoment& moment, const StackSolver<double>& solver) {
            throw_if_stopped();
            run.progress.at(moment.time_s / total_s);
            if (coarse) fine.look(moment, solver);
            archive.look(moment, solver);
        });
    write_discharge(run, storm, lines);
    add_record(run, plan, storm, lines);
    if (coarse) {
        write_rasters(run, plan.rain, fine.greatest_depth(storm), fine.deep_hours().clone(),
                      fine.smooth(storm.peak_speed));
    } else {
        write_rasters(run, plan.rain, std::move(storm.greatest_depth), std::move(storm.deep_hours),
                      std::move(storm.peak_speed));
    }
}

}  // namespace lielow
