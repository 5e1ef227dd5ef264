// SPDX-License-Identifier: Apache-2.0
#include "io/site_keys.hpp"

#include <fmt/format.h>

#include "io/site_key_groups.hpp"
#include "sim/errors.hpp"

namespace lielow {
namespace {

constexpr std::string_view own_choice = "a choice of this program, no published source";
constexpr std::string_view common_practice = "common practice, no published source";
constexpr std::string_view clear_calm_night =
    "order of magnitude of clear calm nights; with the default mixing, 10 h cool flat ground by 13 K "
    "(conduction at constant "
    "flux, Carslaw & Jaeger 1959, section 2.9); no published value for farms";

NightEdges edges_from(std::string_view text) {
    if (text == "open") return NightEdges::open;
    return text == "wall" ? NightEdges::wall : NightEdges::far_field;
}

void set_sky_directions(Site& s, const SiteValue& v) {
    const auto directions = static_cast<int>(v.number);
    if (directions % 2 != 0 || directions == 2)
        throw InputError(
            fmt::format("night.sky_directions = {} must be 0 or an even number from 4", directions));
    s.night.sky_directions = directions;
}

std::vector<SiteKey> general_keys() {
    return {
        {.name = "title",
         .example = R"("Home farm")",
         .otherwise = "the site file's name",
         .meaning = "what tables and reports call the site",
         .set = [](Site& s, const SiteValue& v) { s.title = v.text; }},
        {.name = "units",
         .kind = KeyKind::choice,
         .choices = {"us", "si"},
         .fallback = R"("us")",
         .meaning =
             "the units people read: feet, acres and degrees Fahrenheit, or metres, hectares and Celsius",
         .source = own_choice,
         .set = [](Site& s,
                   const SiteValue& v) { s.units = v.text == "si" ? PeopleUnits::si : PeopleUnits::us; }},
        {.name = "archive",
         .kind = KeyKind::choice,
         .choices = {"hours", "states", "none"},
         .fallback = R"("hours")",
         .meaning =
             "what archive.nc holds: hours, the night and the storm hour by hour; states, every quarter hour "
             "of the night with the height of all its isotherms; none, no such file",
         .source = own_choice,
         .set = [](Site& s, const SiteValue& v) { s.archive = v.text; }},
    };
}

std::vector<SiteKey> ground_keys() {
    return {
        {.name = "ground.dem",
         .kind = KeyKind::path,
         .example = R"("dem.tif")",
         .meaning = "elevation of the bare ground: any raster GDAL reads",
         .needed_for = "run",
         .set = [](Site& s, const SiteValue& v) { s.ground.dem = v.path; }},
        {.name = "ground.vertical_unit",
         .kind = KeyKind::choice,
         .choices = {"m", "ft", "us-ft"},
         .otherwise = "as the DEM says",
         .meaning = "unit of the DEM's elevations, where the file doesn't say: us-ft is the US survey foot",
         .set = [](Site& s, const SiteValue& v) { s.ground.vertical_unit = v.text; }},
        {.name = "ground.crs",
         .example = R"("EPSG:26917")",
         .otherwise = "as the DEM says",
         .meaning = "coordinate reference system of a DEM that doesn't name one",
         .set = [](Site& s, const SiteValue& v) { s.ground.crs = v.text; }},
        {.name = "ground.fields",
         .kind = KeyKind::path,
         .example = R"("fields.gpkg")",
         .otherwise = "the whole ground is one field",
         .meaning = "outlines of the fields: polygons with a name",
         .set = [](Site& s, const SiteValue& v) { s.ground.fields = v.path; }},
        {.name = "ground.around",
         .kind = KeyKind::path,
         .example = R"("wide.tif")",
         .otherwise = "nothing beyond the DEM",
         .meaning = "coarser elevation of the ground around the farm, for the cold air that comes from there",
         .set = [](Site& s, const SiteValue& v) { s.ground.around = v.path; }},
        {.name = "ground.around_vertical_unit",
         .kind = KeyKind::choice,
         .choices = {"m", "ft", "us-ft"},
         .otherwise = "as that file says",
         .meaning = "unit of the elevations around, where that file doesn't say",
         .set = [](Site& s, const SiteValue& v) { s.ground.around_vertical_unit = v.text; }},
        {.name = "ground.around_crs",
         .example = R"("EPSG:4326")",
         .otherwise = "as that file says",
         .meaning = "coordinate reference system of the elevations around, where that file doesn't name one",
         .set = [](Site& s, const SiteValue& v) { s.ground.around_crs = v.text; }},
        {.name = "ground.belts",
         .kind = KeyKind::path,
         .example = R"("belts.gpkg")",
         .otherwise = "no tree belts",
         .meaning = "tree belts: polygons with the attributes height and openness",
         .set = [](Site& s, const SiteValue& v) { s.ground.belts = v.path; }},
        {.name = "ground.cover",
         .kind = KeyKind::path,
         .example = R"("cover.tif" or "cover.gpkg")",
         .otherwise = "ordinary ground everywhere",
         .meaning = "land cover: a raster of class codes, or polygons with the attribute cover",
         .set = [](Site& s, const SiteValue& v) { s.ground.cover = v.path; }},
        {.name = "ground.obstacles",
         .kind = KeyKind::path,
         .example = R"("obstacles.gpkg")",
         .otherwise = "no obstacles",
         .meaning = "hedges, fences, walls, banks, their openings, and fans: shapes with the attribute kind",
         .set = [](Site& s, const SiteValue& v) { s.ground.obstacles = v.path; }},
        {.name = "ground.vertical_accuracy",
         .kind = KeyKind::quantity,
         .low = "0 m",
         .high = "100 m",
         .example = R"("0.1 m" or "4 in")",
         .otherwise = "no error of ponded water is told",
         .meaning = "standard error of the DEM's elevations, for the error of ponded water",
         .set = [](Site& s, const SiteValue& v) { s.ground.vertical_accuracy_m = v.number; }},
        {.name = "ground.bridge_area",
         .kind = KeyKind::quantity,
         .dimension = Dimension::area,
         .low = "0 acre",
         .high = "1000 acre",
         .example = R"("0.1 acre" or "400 m2")",
         .fallback = R"("0.1 acre")",
         .meaning = "holes in the DEM up to this size are bridged so that air and water can cross them",
         .source = own_choice,
         .set = [](Site& s, const SiteValue& v) { s.ground.bridge_area_m2 = v.number; }},
    };
}

std::vector<SiteKey> night_weather_keys() {
    return {
        {.name = "night.date",
         .kind = KeyKind::date,
         .low = "1901-01-01",
         .high = "2099-12-31",
         .example = "2026-04-18",
         .otherwise = "no night",
         .meaning = "day on whose evening the night begins; with the place it gives sunset and sunrise",
         .needed_for = "night",
         .set = [](Site& s, const SiteValue& v) { s.night.date = v.date; }},
        {.name = "night.utc_offset",
         .kind = KeyKind::quantity,
         .dimension = Dimension::time,
         .low = "-14 h",
         .high = "14 h",
         .example = R"("-5 h")",
         .otherwise = "from the longitude, 15 degrees an hour",
         .meaning = "local clock time minus UTC, for the times of day that people read",
         .set = [](Site& s, const SiteValue& v) { s.night.utc_offset_s = v.number; }},
        {.name = "night.evening_air",
         .kind = KeyKind::quantity,
         .dimension = Dimension::temperature,
         .low = "-40 degC",
         .high = "50 degC",
         .example = R"("48 degF" or "9 degC")",
         .otherwise = "no night",
         .meaning = "air temperature at sunset",
         .needed_for = "night",
         .set = [](Site& s, const SiteValue& v) { s.night.evening_air_k = v.number; }},
        {.name = "night.cloud",
         .kind = KeyKind::number,
         .low = "0",
         .high = "1",
         .example = "0.3",
         .fallback = "0.0",
         .meaning = "share of the sky under cloud: 0 is clear, 1 overcast",
         .source = "the clear sky of a radiation frost, the worst case",
         .set = [](Site& s, const SiteValue& v) { s.night.cloud = v.number; }},
        {.name = "night.calm_friction_velocity",
         .kind = KeyKind::quantity,
         .dimension = Dimension::speed,
         .low = "0.01 m/s",
         .high = "0.5 m/s",
         .example = R"("0.08 m/s")",
         .fallback = R"("0.08 m/s")",
         .meaning = "with mixing_law \"stability\": friction velocity of the air where neither flow nor wind "
                    "stir it "
                    "more; usual values are 0.05 to 0.1 m/s",
         .source = "between the least values that surface layers of weather models are given, 0.07 m/s "
                   "(Chen, Janjic "
                   "& Mitchell 1997) and 0.1 m/s (Hong & Pan 1996), both from memory",
         .set = [](Site& s, const SiteValue& v) { s.night.calm_friction_velocity_m_s = v.number; }},
        {.name = "night.mixing",
         .kind = KeyKind::quantity,
         .dimension = Dimension::diffusivity,
         .low = "0.0001 m2/s",
         .high = "10 m2/s",
         .example = R"("0.04 m2/s")",
         .fallback = R"("0.04 m2/s")",
         .meaning = "how fast still night air mixes up and down; usual values are 0.02 to 0.1 m2/s",
         .source = clear_calm_night,
         .set = [](Site& s, const SiteValue& v) { s.night.mixing_m2_s = v.number; }},
        {.name = "night.mixing_law",
         .kind = KeyKind::choice,
         .choices = {"uniform", "stability"},
         .fallback = R"("uniform")",
         .meaning =
             "how fast the air mixes: as mixing says everywhere, or less near the ground and where it is "
             "strongly layered, more where it flows or wind stirs it",
         .source =
             "one number is easier to fit to loggers; against published nights neither is clearly better "
             "(verification.md)",
         .set = [](Site& s, const SiteValue& v) { s.night.mixing_by_stability = v.text == "stability"; }},
    };
}

std::vector<SiteKey> night_loss_keys() {
    return {
        {.name = "night.dew_point",
         .kind = KeyKind::quantity,
         .dimension = Dimension::temperature,
         .low = "-60 degC",
         .high = "40 degC",
         .example = R"("34 degF" or "1 degC")",
         .otherwise = "from weather; without it the loss is a constant",
         .meaning = "dew point of the evening air, for the radiation of the sky and for dew",
         .set = [](Site& s, const SiteValue& v) { s.night.dew_point_k = v.number; }},
        {.name = "night.weather",
         .kind = KeyKind::path,
         .example = R"("station.csv")",
         .otherwise = "air, dew point and cloud of the evening hold all night",
         .meaning =
             "a weather station's record of the night: a table with the columns time, air, dew point and, "
             "if wished, cloud, wind speed and wind direction",
         .set = [](Site& s, const SiteValue& v) { s.night.weather = v.path; }},
        {.name = "night.heat_loss",
         .kind = KeyKind::quantity,
         .dimension = Dimension::irradiance,
         .low = "0 W/m2",
         .high = "100 W/m2",
         .example = R"("15 W/m2")",
         .otherwise = "from the radiation where dew_point or weather is given, else 15 W/m2, the order of "
                      "magnitude of clear calm nights",
         .meaning = "heat the air loses to the ground under a clear sky, the same all night; goes before the "
                    "radiation; usual values are 10 to 25 W/m2",
         .set = [](Site& s, const SiteValue& v) { s.night.heat_loss_w_m2 = v.number; }},
        {.name = "night.air_share",
         .kind = KeyKind::number,
         .low = "0.05",
         .high = "1",
         .example = "0.5",
         .fallback = "0.5",
         .meaning =
             "share of the ground's net radiation that is taken out of the air; the rest comes out of the "
             "soil",
         .source = "soil heat flux of half the net radiation at night under short grass (FAO-56, Allen et "
                   "al. 1998, "
                   "equation 46)",
         .set = [](Site& s, const SiteValue& v) { s.night.air_share = v.number; }},
        {.name = "night.sky_directions",
         .kind = KeyKind::whole_number,
         .low = "0",
         .high = "64",
         .example = "16",
         .otherwise = "16, and 0 where the loss is a constant",
         .meaning =
             "directions in which the horizon is looked for, an even number from 4, to find how much sky the "
             "ground sees; 0 = the whole sky everywhere",
         .set = set_sky_directions},
    };
}

std::vector<SiteKey> night_flow_keys() {
    return {
        {.name = "night.ground_drag",
         .kind = KeyKind::number,
         .low = "0",
         .high = "1",
         .example = "0.02",
         .fallback = "0.02",
         .meaning = "drag coefficient of the ground on the air that creeps over it",
         .source = "neutral logarithmic wind profile, (0.4 / ln(2 m / 0.1 m))^2 = 0.018, for rough grass; "
                   "forest canopies "
                   "have 0.03 (Yi et al. 2005, J. Geophys. Res. 110, D22303)",
         .set = [](Site& s, const SiteValue& v) { s.night.ground_drag = v.number; }},
        {.name = "night.interface_drag",
         .kind = KeyKind::number,
         .low = "0",
         .high = "1",
         .example = "0.002",
         .fallback = "0.002",
         .meaning = "drag coefficient between sheets of air that slide over one another",
         .source = common_practice,
         .set = [](Site& s, const SiteValue& v) { s.night.interface_drag = v.number; }},
        {.name = "night.edges",
         .kind = KeyKind::choice,
         .choices = {"far field", "open", "wall"},
         .fallback = R"("far field")",
         .meaning = "what lies beyond the ground's edge: flat open ground of the same night, nothing that "
                    "holds the air, "
                    "or a wall",
         .source = "ground open on all sides drains too well, so its pools come out too warm",
         .set = [](Site& s, const SiteValue& v) { s.night.edges = edges_from(v.text); }},
    };
}

std::vector<SiteKey> night_map_keys() {
    return {
        {.name = "night.plant_height",
         .kind = KeyKind::quantity,
         .low = "0 ft",
         .high = "100 ft",
         .example = R"("5 ft" or "1.5 m")",
         .fallback = R"("5 ft")",
         .meaning = "height above ground at which the air temperature is mapped",
         .source = "height of thermometer shelters: 1.25 m to 2 m (WMO-No. 8, quoted from memory)",
         .set = [](Site& s, const SiteValue& v) { s.night.plant_height_m = v.number; }},
        {.name = "night.reference",
         .example = R"("highest", "North field" or "431250.0, 4512800.0")",
         .fallback = R"("highest")",
         .meaning = "the spot others are compared with: the highest ground inside the fields, a field's "
                    "name, or a map "
                    "position x, y in the ground's CRS",
         .source = own_choice,
         .set = [](Site& s, const SiteValue& v) { s.night.reference = v.text; }},
        {.name = "night.sheet_step",
         .kind = KeyKind::quantity,
         .dimension = Dimension::temperature_difference,
         .low = "0 K",
         .high = "10 K",
         .example = R"("1 K" or "2 degF")",
         .otherwise = "chosen",
         .meaning =
             "temperature difference from one sheet of air to the next; 0 K = chosen so that the sheets span "
             "half as much again as flat ground cools",
         .set = [](Site& s, const SiteValue& v) { s.night.sheet_step_k = v.number; }},
        {.name = "night.sheets",
         .kind = KeyKind::whole_number,
         .low = "0",
         .high = "32",
         .example = "12",
         .otherwise = "chosen",
         .meaning = "number of sheets of air; 0 = 24, or as many as a given sheet step asks for",
         .set = [](Site& s, const SiteValue& v) { s.night.sheets = static_cast<int>(v.number); }},
        {.name = "night.cell",
         .kind = KeyKind::quantity,
         .low = "0 m",
         .high = "1 km",
         .example = R"("30 ft" or "10 m")",
         .otherwise = "chosen",
         .meaning =
             "cell size on which the night is solved; 0 m = chosen so that a farm takes under a minute",
         .set = [](Site& s, const SiteValue& v) { s.night.cell_m = v.number; }},
    };
}

}  // namespace

std::span<const SiteKey> site_keys() {
    static const std::vector<SiteKey> keys = [] {
        std::vector<SiteKey> all;
        for (auto group :
             {general_keys,    ground_keys,    night_weather_keys, night_loss_keys,  night_wind_keys,
              night_flow_keys, night_map_keys, night_reading_keys, spot_keys,        water_keys,
              storm_run_keys,  soil_keys,      soil_survey_keys,   drain_start_keys, drain_keys,
              crop_keys,       tender_keys,    station_keys,       siting_keys,      ensemble_keys,
              look_keys,       tune_keys}) {
            for (SiteKey& key : group()) all.push_back(std::move(key));
        }
        return all;
    }();
    return keys;
}

}  // namespace lielow
