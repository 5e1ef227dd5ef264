// SPDX-License-Identifier: Apache-2.0
#include "tools/run_table.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <functional>
#include <limits>
#include <optional>

#include "sim/drain_spacing.hpp"
#include "tools/flow_report.hpp"
#include "tools/site_run.hpp"
#include "tools/siting_report.hpp"
#include "tools/sure_report.hpp"
#include "tools/text_table.hpp"

namespace lielow {
namespace {

using enum PeopleQuantity;

/// A column of a table of fields: shown when the first field has its figure.
struct FieldColumn {
    std::string head;  ///< the unit is put in place of {}
    PeopleQuantity quantity;
    std::function<std::optional<double>(const FieldRecord&)> value;
};

std::optional<double> figure_of(const std::vector<NamedFigure>& figures, std::string_view name) {
    const auto at =
        std::find_if(figures.begin(), figures.end(), [&](const NamedFigure& f) { return f.name == name; });
    return at == figures.end() ? std::nullopt : std::optional(at->value);
}

double figure_of(const PartRecord& part, std::string_view name) {
    return figure_of(part.figures, name).value_or(std::numeric_limits<double>::quiet_NaN());
}

std::string word_of(const PartRecord& part, std::string_view name) {
    const auto at =
        std::find_if(part.words.begin(), part.words.end(), [&](const auto& w) { return w.first == name; });
    return at == part.words.end() ? "-" : at->second;
}

const PartRecord* part_of(const Summary& summary, std::string_view name) {
    const auto at = std::find_if(summary.parts.begin(), summary.parts.end(),
                                 [&](const PartRecord& p) { return p.name == name; });
    return at == summary.parts.end() ? nullptr : &*at;
}

auto figure(std::string name) {
    return [name = std::move(name)](const FieldRecord& field) { return figure_of(field.figures, name); };
}

auto raster(std::string name, double RasterFigures::*member) {
    return [name = std::move(name), member](const FieldRecord& field) -> std::optional<double> {
        for (const RasterFigures& r : field.rasters) {
            if (r.raster == name) return r.*member;
        }
        return std::nullopt;
    };
}

/// Where the site has no outlines its one field is the whole ground, and both pictures of the water are one.
std::optional<double> under_from_ground_low(const FieldRecord& field) {
    if (!raster("field_fill_depth", &RasterFigures::least)(field)) return std::nullopt;
    return figure_of(field.figures, "under_water_from_ground_low_m2");
}

const FieldColumn whole_area{"area,\n{}", area,
                             [](const FieldRecord& f) { return std::optional(f.area_m2); }};

std::vector<FieldColumn> night_columns(PeopleUnits units) {
    return {
        whole_area,
        {"coldest\nspot, {}", temperature,
         [](const FieldRecord& field) {
             auto low_c = raster("night_low", &RasterFigures::least)(field);
             if (low_c) *low_c += 273.15;
             return low_c;
         }},
        {"coldest,\n{} from ref.", temperature_difference, raster("night_offset", &RasterFigures::least)},
        {"median,\n{} from ref.", temperature_difference, raster("night_offset", &RasterFigures::median)},
        {fmt::format("over {} colder\nthan ref., {{}}",
                     people_text(clearly_colder_k, temperature_difference, units)),
         area, figure("colder_by_2_degf_m2")},
    };
}

std::vector<FieldColumn> crop_columns() {
    return {
        {"frost at the\ncoldest spot, {}", hours, raster("frost_hours", &RasterFigures::greatest)},
        {"flowers\nlost, {}", share, figure("flowers_lost_share")},
        {"at\nleast, {}", share, figure("flowers_lost_least_share")},
        {"at\nmost, {}", share, figure("flowers_lost_most_share")},
        {"damaging\nsprings, {}", share, figure("damaging_springs_share")},
        {"from,\n{}", share, figure("damaging_springs_low_share")},
        {"to,\n{}", share, figure("damaging_springs_high_share")},
        {"risk over\nits life, {}", share, figure("risk_over_life_share")},
    };
}

std::vector<FieldColumn> water_columns() {
    return {
        whole_area,
        {"under water,\n{}", area, figure("under_water_m2")},
        {"all under\nat, {}", height, figure("all_under_stage_m")},
        {"deepest\nhollow, {}", height, raster("hollow_depth", &RasterFigures::greatest)},
        {"under water, from\nground's low, {}", area, under_from_ground_low},
    };
}

/// With a storm that is run through its hours storm_depth is its deepest water, else what it leaves.
std::vector<FieldColumn> storm_columns(bool runs_through) {
    std::vector<FieldColumn> columns = {
        whole_area,
        {"ponded,\n{}", area, figure("storm_ponded_m2")},
        {runs_through ? "deepest while\nit runs, {}" : "deepest\npond, {}", height,
         raster("storm_depth", &RasterFigures::greatest)},
        {"its largest\nhollow holds, {}", volume, figure("largest_hollow_m3")},
        {"rain that\nfills it, {}", small_depth, figure("largest_hollow_rain_m")},
        {"ground above that\ndrains in, {}", area, figure("upslope_m2")},
    };
    if (runs_through) {
        columns.insert(columns.begin() + 3,
                       {"longest over\nan inch, {}", hours, raster("storm_hours", &RasterFigures::greatest)});
    }
    return columns;
}

std::vector<FieldColumn> drain_columns() {
    return {
        whole_area,
        {"wet after\n2 days, {}", area, figure("wet_after_2_days_m2")},
        {"on beds as\nasked for, {}", area, figure("wet_after_2_days_on_beds_m2")},
        {"with pipes\nas asked for, {}", area, figure("wet_after_2_days_with_pipes_m2")},
        {"wet to\nthe end, {}", area, figure("wet_to_the_end_m2")},
        {"bed that airs\nhalf of it, {}", small_depth, figure("bed_height_m")},
        {"pipes this\nfar apart, {}", height, figure("pipe_spacing_m")},
        {"under steady\nrain, {}", height, figure("pipe_spacing_steady_m")},
    };
}

TextTable fields_table(const std::vector<FieldRecord>& fields, const std::vector<FieldColumn>& columns,
                       PeopleUnits units) {
    TextTable table;
    table.head = {"field"};
    for (const FieldRecord& field : fields) table.rows.push_back({field.name});
    for (const FieldColumn& column : columns) {
        if (fields.empty() || !column.value(fields.front())) continue;
        table.head.push_back(fmt::format(fmt::runtime(column.head), people_unit(column.quantity, units)));
        for (std::size_t i = 0; i < fields.size(); ++i) {
            const double value = column.value(fields[i]).value_or(std::numeric_limits<double>::quiet_NaN());
            table.rows[i].push_back(people_number(value, column.quantity, units));
        }
    }
    return table;
}

std::string fields_text(const std::vector<FieldRecord>& fields, const std::vector<FieldColumn>& columns,
                        PeopleUnits units) {
    return to_text(fields_table(fields, columns, units));
}

std::string night_text(const Summary& summary, PeopleUnits units) {
    const PartRecord* night = part_of(summary, "night");
    if (night == nullptr) return {};
    const auto temperature_text = [&](std::string_view name) {
        return people_text(figure_of(*night, name) + 273.15, temperature, units);
    };
    std::string text = fmt::format(
        "The night of {}: sunset {}, sunrise {} ({}); {} at sunset.\n"
        "Reference spot (ref.): {}, at elevation {}; its lowest is {}.\n"
        "The air lost {:.1f} W/m2 in the mean ({}). Wind: {}.\n"
        "Lowest air temperatures of the night, {} above the ground; below 0 from ref. is colder than it.\n\n",
        word_of(*night, "date"), word_of(*night, "sunset"), word_of(*night, "sunrise"),
        word_of(*night, "clock"), temperature_text("evening_air_c"), word_of(*night, "reference"),
        people_text(figure_of(*night, "reference_elevation_m"), height, units),
        temperature_text("reference_low_c"), figure_of(*night, "mean_loss_w_m2"),
        word_of(*night, "loss_from"), word_of(*night, "wind_from"),
        people_text(figure_of(*night, "plant_height_m"), height, units));
    return text + fields_text(summary.fields, night_columns(units), units) + "\n" +
           flow_report(summary, units);
}

std::string springs_text(const PartRecord& night, PeopleUnits units) {
    const double springs = figure_of(night, "station_springs");
    if (springs != springs) return {};
    return fmt::format(
        "Damaging springs: with {} or less in the tender days; the thermometer itself had {:.0f} of {:.0f} "
        "(95 %: {} to "
        "{};\nnormal distribution {}, extreme value distribution {}). From, to: 95 % by the length of the "
        "record "
        "alone. Risk of\nat least one in {:.0f} years.\n",
        people_text(figure_of(night, "damaging_at_c") + 273.15, temperature, units),
        figure_of(night, "station_damaging_springs"), springs,
        people_text(figure_of(night, "station_counted_low_share"), share, units),
        people_text(figure_of(night, "station_counted_high_share"), share, units),
        people_text(figure_of(night, "station_normal_share"), share, units),
        people_text(figure_of(night, "station_extreme_value_share"), share, units),
        figure_of(night, "crop_life_years"));
}

std::string crop_text(const Summary& summary, PeopleUnits units) {
    const PartRecord* night = part_of(summary, "night");
    if (night == nullptr || word_of(*night, "crop") == "-") return {};
    std::string text = fmt::format(
        "{} at {}: half an hour at {} kills 10 % of the flowers, at {} 90 % ({}, {}).\n"
        "Frost: time below the first of these. At least, at most: by the colder and the warmer of what is "
        "published.\n",
        word_of(*night, "crop"), word_of(*night, "crop_stage"),
        people_text(figure_of(*night, "crop_kills_10_percent_c") + 273.15, temperature, units),
        people_text(figure_of(*night, "crop_kills_90_percent_c") + 273.15, temperature, units),
        word_of(*night, "crop_width"), word_of(*night, "crop_basis"));
    return text + springs_text(*night, units) + "\n" + fields_text(summary.fields, crop_columns(), units) +
           "\n";
}

std::string hollows_text(const Summary& summary, PeopleUnits units) {
    if (summary.hollows.empty()) return "The ground has no closed hollows.\n";
    const HollowRecord& largest = summary.hollows.front();
    return fmt::format("The largest of {} closed hollows holds {} over {} and is {} deep.\n",
                       summary.hollow_count, people_text(largest.volume_m3, volume, units),
                       people_text(largest.area_m2, area, units),
                       people_text(largest.depth_m, height, units));
}

/// "0.86 ± 0.12 acre-ft (standard error by the DEM's heights)".
std::string ponded_text(const PartRecord& water, PeopleUnits units) {
    const double ponded = figure_of(water, "storm_ponded_m3");
    const double error = figure_of(water, "storm_ponded_error_m3");
    std::string text = people_text(ponded, volume, units);
    if (error == error)
        text = fmt::format("{} ± {} (standard error by the DEM's heights)",
                           people_number(ponded, volume, units), people_text(error, volume, units));
    const double without = figure_of(water, "storm_ponded_without_changes_m3");
    if (without == without)
        text += fmt::format("; without the changes to the ground {}", people_text(without, volume, units));
    return text;
}

TextTable storms_table(const Summary& summary, PeopleUnits units) {
    TextTable table;
    table.head = {fmt::format("rain, {}", people_unit(small_depth, units)),
                  fmt::format("ponded,\n{}", people_unit(area, units)),
                  fmt::format("stands,\n{}", people_unit(volume, units)),
                  fmt::format("runs off the\nground, {}", people_unit(volume, units))};
    for (const StormRecord& storm : summary.storms) {
        table.rows.push_back({people_number(storm.rain_m, small_depth, units),
                              people_number(storm.ponded_m2, area, units),
                              people_number(storm.ponded_m3, volume, units),
                              people_number(storm.left_ground_m3, volume, units)});
    }
    return table;
}

std::string storms_text(const Summary& summary, PeopleUnits units) {
    return summary.storms.empty() ? std::string() : to_text(storms_table(summary, units)) + "\n";
}

/// Whether the storm was run through its hours: then the map shows its deepest water, not what it leaves.
bool runs_through(const Summary& summary) {
    return std::any_of(summary.parts.begin(), summary.parts.end(),
                       [](const PartRecord& part) { return part.name == "storm"; });
}

/// The storm asked for, field by field, and the table of storms.
std::string storm_text(const Summary& summary, const PartRecord& water, PeopleUnits units) {
    const double storm = figure_of(water, "storm_m");
    std::string text;
    if (storm == storm) {
        text = fmt::format(
            "After a storm of {}, {} are ponded (at least {} deep{}).\n"
            "On the ground stand {}.\n",
            people_text(storm, small_depth, units),
            people_text(figure_of(water, "storm_ponded_m2"), area, units),
            people_text(figure_of(water, "ponded_from_m"), small_depth, units),
            runs_through(summary) ? "" : "; map storm_depth", ponded_text(water, units));
        const double deepest = figure_of(water, "storm_deepest_m");
        if (deepest > 0)
            text += fmt::format("The deepest place is {} under water, at {}.\n",
                                people_text(deepest, height, units), word_of(water, "storm_deepest_at"));
        text += "Nothing soaks away in this picture once it runs.\n\n";
    }
    if (figure_of(summary.fields.front().figures, "upslope_m2"))
        text += fields_text(summary.fields, storm_columns(runs_through(summary)), units) + "\n";
    return text + storms_text(summary, units);
}

std::string water_text(const Summary& summary, PeopleUnits units) {
    const PartRecord* water = part_of(summary, "water");
    if (water == nullptr || summary.fields.empty()) return {};
    const std::string stage = people_text(figure_of(*water, "stage_m"), height, units);
    const bool outlines = under_from_ground_low(summary.fields.front()).has_value();
    std::string text;
    if (outlines) {
        text = fmt::format(
            "Water pictured {0} above each field's own low point (maps field_fill_stage, field_fill_depth);\n"
            "in the last column {0} above the lowest point of the whole ground, {1} (maps fill_stage, "
            "fill_depth).\n",
            stage, people_text(figure_of(*water, "ground_low_point_m"), height, units));
    } else {
        text = fmt::format("Water pictured {} above the lowest point of the ground, {}.\n", stage,
                           people_text(figure_of(*water, "ground_low_point_m"), height, units));
    }
    text +=
        "It reaches what lies below its level over connected ground. All under at: height above the low "
        "point\nat which the last of the field goes under.\n\n";
    return text + fields_text(summary.fields, water_columns(), units) + "\n" + hollows_text(summary, units) +
           "\n" + storm_text(summary, *water, units);
}

std::string drain_text(const Summary& summary, PeopleUnits units) {
    const PartRecord* drain = part_of(summary, "drain");
    if (drain == nullptr || summary.fields.empty()) return {};
    return fmt::format(
               "Days after the storm, over {:.0f} days. Wet: water within {} of the surface, where roots "
               "want "
               "air.\nPipes bring the water table below the roots in {:.0f} h (Glover-Dumm), or hold it "
               "there "
               "under {} of rain a day\n(Hooghoudt); -: pipes as deep as asked for don't lie below the "
               "roots. Common practice in silty and clayey\nground sets them {} to {} apart (no source).\n\n",
               figure_of(*drain, "days"), people_text(figure_of(*drain, "root_depth_m"), height, units),
               figure_of(*drain, "wanted_time_s") / 3600,
               people_text(figure_of(*drain, "rate_m_s") * 86400, small_depth, units),
               people_text(UsualSpacing{}.least_m, height, units),
               people_text(UsualSpacing{}.greatest_m, height, units)) +
           fields_text(summary.fields, drain_columns(), units) + "\n";
}

}  // namespace

RunTables run_tables(const Summary& summary, PeopleUnits units) {
    const auto& fields = summary.fields;
    RunTables tables;
    if (part_of(summary, "night") != nullptr) {
        tables.night = fields_table(fields, night_columns(units), units);
        tables.crop = fields_table(fields, crop_columns(), units);
    }
    if (part_of(summary, "water") != nullptr) {
        tables.water = fields_table(fields, water_columns(), units);
        if (figure_of(fields.front().figures, "upslope_m2"))
            tables.storm = fields_table(fields, storm_columns(runs_through(summary)), units);
        tables.storms = storms_table(summary, units);
    }
    if (part_of(summary, "drain") != nullptr) tables.drain = fields_table(fields, drain_columns(), units);
    return tables;
}

std::string run_report(const Summary& summary, PeopleUnits units) {
    std::string text =
        fmt::format("{}\n\n{}{}{}{}{}", summary.title, night_text(summary, units), crop_text(summary, units),
                    water_text(summary, units), drain_text(summary, units), siting_report(summary, units)) +
        sure_report(summary, units);
    for (const std::string& note : summary.notes) text += fmt::format("Note: {}\n", note);
    for (const std::string& caution : summary.cautions) text += fmt::format("Caution: {}\n", caution);
    return text;
}

}  // namespace lielow
