// SPDX-License-Identifier: Apache-2.0
// Keys of the ground's soil and of the days after a storm.
#include <fmt/format.h>

#include "io/site_key_groups.hpp"
#include "sim/errors.hpp"
#include "sim/soil.hpp"

namespace lielow {
namespace {

constexpr std::string_view own_choice = "a choice of this program, no published source";
constexpr std::string_view common_practice = "common practice, no published source";

/// Runs a check of sim/ and names the key.
template <class Check>
double checked(std::string_view key, double value, Check check) {
    try {
        check(value);
    } catch (const InputError& error) {
        throw InputError(fmt::format("{}: {}", key, error.what()));
    }
    return value;
}

}  // namespace

std::vector<SiteKey> soil_keys() {
    return {
        {.name = "soil.conductivity",
         .kind = KeyKind::quantity,
         .dimension = Dimension::speed,
         .example = R"("1 in/h", "7 um/s" or "60 cm/day")",
         .otherwise = "no days after the storm, unless there is a map",
         .meaning = "saturated hydraulic conductivity of the ground above its restrictive layer",
         .set =
             [](Site& s, const SiteValue& v) {
                 s.soil.conductivity_m_s = checked("soil.conductivity", v.number, check_conductivity);
             }},
        {.name = "soil.conductivity_map",
         .kind = KeyKind::path,
         .example = R"("conductivity.tif")",
         .otherwise = "the same everywhere",
         .meaning = "the same as a raster whose band says its unit; where it holds nothing soil.conductivity "
                    "counts",
         .set = [](Site& s, const SiteValue& v) { s.soil.conductivity_map = v.path; }},
        {.name = "soil.drainable_porosity",
         .kind = KeyKind::number,
         .example = "0.06",
         .otherwise = "from the conductivity",
         .meaning = "share of the ground's volume that drains when the water table falls; if not given, in "
                    "percent the square root of the conductivity in cm/day (van Beers' rule, from memory)",
         .set =
             [](Site& s, const SiteValue& v) {
                 s.soil.drainable_porosity =
                     checked("soil.drainable_porosity", v.number, check_drainable_porosity);
             }},
        {.name = "soil.drainable_porosity_map",
         .kind = KeyKind::path,
         .example = R"("porosity.tif")",
         .otherwise = "the same everywhere",
         .meaning = "the same as a raster of shares",
         .set = [](Site& s, const SiteValue& v) { s.soil.drainable_porosity_map = v.path; }},
        {.name = "soil.floor_depth",
         .kind = KeyKind::quantity,
         .low = "4 in",
         .high = "100 ft",
         .example = R"("6 ft" or "2 m")",
         .fallback = R"("6 ft")",
         .meaning = "depth of the layer that holds water up: rock, hardpan, tight clay",
         .source = own_choice,
         .set = [](Site& s, const SiteValue& v) { s.soil.floor_depth_m = v.number; }},
        {.name = "soil.floor_depth_map",
         .kind = KeyKind::path,
         .example = R"("depth.tif")",
         .otherwise = "the same everywhere",
         .meaning = "the same as a raster whose band says its unit",
         .set = [](Site& s, const SiteValue& v) { s.soil.floor_depth_map = v.path; }},
    };
}

std::vector<SiteKey> drain_start_keys() {
    return {
        {.name = "drain.table_depth",
         .kind = KeyKind::quantity,
         .low = "0 ft",
         .high = "100 ft",
         .example = R"("5 ft" or "1.5 m")",
         .otherwise = "as steady rain holds it up, drain.recharge",
         .meaning = "depth of the water table before the storm",
         .set = [](Site& s, const SiteValue& v) { s.drain.table_depth_m = v.number; }},
        {.name = "drain.table_depth_map",
         .kind = KeyKind::path,
         .example = R"("water-table.tif")",
         .otherwise = "the same everywhere",
         .meaning = "the same as a raster whose band says its unit",
         .set = [](Site& s, const SiteValue& v) { s.drain.table_depth_map = v.path; }},
        {.name = "drain.recharge",
         .kind = KeyKind::quantity,
         .dimension = Dimension::speed,
         .low = "0 mm/day",
         .high = "20 mm/day",
         .example = R"("0.5 mm/day" or "7 in/year")",
         .fallback = R"("0.5 mm/day")",
         .meaning =
             "steady rain that reaches the water table and holds it up before the storm, where its depth "
             "isn't given",
         .source = "order of magnitude of humid farmland, 180 mm a year; a choice of this program",
         .set = [](Site& s, const SiteValue& v) { s.drain.recharge_m_s = v.number; }},
        {.name = "drain.uptake",
         .kind = KeyKind::quantity,
         .dimension = Dimension::speed,
         .low = "0 mm/day",
         .high = "20 mm/day",
         .example = R"("1.5 mm/day" or "20 in/year")",
         .fallback = R"("1.5 mm/day")",
         .meaning = "what plants draw from a water table at the surface before the storm, in the mean of the "
                    "year; the less the deeper it lies; goes with drain.recharge",
         .source = "order of magnitude of humid farmland, 550 mm a year; a choice of this program",
         .set = [](Site& s, const SiteValue& v) { s.drain.uptake_m_s = v.number; }},
        {.name = "drain.uptake_reach",
         .kind = KeyKind::quantity,
         .low = "1 in",
         .high = "30 ft",
         .example = R"("4 ft" or "1.2 m")",
         .fallback = R"("4 ft")",
         .meaning = "depth of the water table from which plants draw nothing",
         .source = own_choice,
         .set = [](Site& s, const SiteValue& v) { s.drain.uptake_reach_m = v.number; }},
        {.name = "drain.evaporation",
         .kind = KeyKind::quantity,
         .dimension = Dimension::speed,
         .low = "0 mm/day",
         .high = "20 mm/day",
         .example = R"("3 mm/day" or "0.1 in/day")",
         .fallback = R"("3 mm/day")",
         .meaning = "what ponds lose to the air",
         .source = common_practice,
         .set = [](Site& s, const SiteValue& v) { s.drain.evaporation_m_s = v.number; }},
        {.name = "drain.days",
         .kind = KeyKind::whole_number,
         .low = "7",
         .high = "60",
         .example = "14",
         .fallback = "14",
         .meaning = "days after the storm to follow",
         .source = own_choice,
         .set = [](Site& s, const SiteValue& v) { s.drain.days = static_cast<int>(v.number); }},
        {.name = "drain.root_depth",
         .kind = KeyKind::quantity,
         .low = "1 in",
         .high = "20 ft",
         .example = R"("30 in" or "0.75 m")",
         .fallback = R"("30 in")",
         .meaning = "depth that roots want free of the water table; not given, 0.6 m for berry bushes and "
                    "0.3 m for strawberries where crop.kind says so (FAO-56, table 22, from memory)",
         .source =
             "apples want 30 in above rock, hardpan or water table (University of Vermont, orchard site "
             "selection)",
         .set = [](Site& s, const SiteValue& v) { s.drain.root_depth_m = v.number; }},
    };
}

std::vector<SiteKey> drain_keys() {
    return {
        {.name = "drain.lines",
         .kind = KeyKind::path,
         .example = R"("drains.gpkg")",
         .otherwise = "no drains drawn",
         .meaning =
             "pipes and ditches: lines with the attributes depth, kind (pipe or ditch), diameter, spacing",
         .set = [](Site& s, const SiteValue& v) { s.drain.lines = v.path; }},
        {.name = "drain.spacing",
         .kind = KeyKind::quantity,
         .low = "5 ft",
         .high = "500 ft",
         .example = R"("50 ft" or "15 m")",
         .otherwise = "no pipes but those of drain.lines",
         .meaning = "what if pipes lay this far apart in every field?",
         .set = [](Site& s, const SiteValue& v) { s.drain.spacing_m = v.number; }},
        {.name = "drain.pipe_depth",
         .kind = KeyKind::quantity,
         .low = "1 ft",
         .high = "10 ft",
         .example = R"("3 ft" or "1 m")",
         .fallback = R"("3 ft")",
         .meaning = "depth of such pipes, and of those whose spacing is told",
         .source = common_practice,
         .set = [](Site& s, const SiteValue& v) { s.drain.pipe_depth_m = v.number; }},
        {.name = "drain.wanted_time",
         .kind = KeyKind::quantity,
         .dimension = Dimension::time,
         .low = "6 h",
         .high = "30 days",
         .example = R"("48 h" or "2 days")",
         .fallback = R"("48 h")",
         .meaning =
             "time in which pipes should bring the water table from the surface to below the roots; how "
             "far apart they may lie for that is told",
         .source =
             "48 hours in saturated ground are enough to kill a peach tree (Clemson University Extension)",
         .set = [](Site& s, const SiteValue& v) { s.drain.wanted_time_s = v.number; }},
        {.name = "drain.rate",
         .kind = KeyKind::quantity,
         .dimension = Dimension::speed,
         .low = "0.01 in/day",
         .high = "5 in/day",
         .example = R"("0.5 in/day" or "12 mm/day")",
         .fallback = R"("0.5 in/day")",
         .meaning =
             "steady rain under which pipes should hold the water table below the roots; how far apart "
             "they may lie for that is told as well",
         .source =
             "half an inch to three quarters a day for fruit on mineral soil (NRCS National Engineering "
             "Handbook, part 624, chapter 4, quoted from memory)",
         .set = [](Site& s, const SiteValue& v) { s.drain.rate_m_s = v.number; }},
        {.name = "drain.bed_height",
         .kind = KeyKind::quantity,
         .low = "0 in",
         .high = "5 ft",
         .example = R"("12 in" or "0.3 m")",
         .fallback = R"("12 in")",
         .meaning = "what if the roots stood on beds of this height?",
         .source = "tops of beds for cherries at least 12 in above grade (Pacific Northwest Plant Disease "
                   "Management Handbook)",
         .set = [](Site& s, const SiteValue& v) { s.drain.bed_height_m = v.number; }},
        {.name = "drain.cell",
         .kind = KeyKind::quantity,
         .low = "0 m",
         .high = "100 m",
         .example = R"("10 m" or "30 ft")",
         .fallback = R"("0 m")",
         .meaning =
             "cell size on which the days after the storm are worked out, whole blocks of the DEM's cells; "
             "0 m = the DEM's own",
         .source = own_choice,
         .set = [](Site& s, const SiteValue& v) { s.drain.cell_m = v.number; }},
    };
}

}  // namespace lielow
