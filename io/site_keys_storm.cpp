// SPDX-License-Identifier: Apache-2.0
// The site file's keys for a storm run through its hours: rain, loss, roughness.
#include <fmt/format.h>

#include "io/site_key_groups.hpp"
#include "sim/errors.hpp"
#include "sim/green_ampt.hpp"

namespace lielow {
namespace {

constexpr std::string_view own_choice = "a choice of this program, no published source";

/// Judged here and not by a range, so that a slip in the unit is told as one.
double conductivity_of(double metres_per_second) {
    try {
        validate_soil({metres_per_second, 0, 0});
    } catch (const InputError& error) {
        throw InputError(fmt::format("water.soil_conductivity: {}", error.what()));
    }
    return metres_per_second;
}

std::vector<SiteKey> rain_keys() {
    return {
        {.name = "water.storm_shape",
         .kind = KeyKind::choice,
         .choices = {"even", "type I", "type IA", "type II", "type III"},
         .example = R"("type II")",
         .otherwise = "the storm is not run through its hours, only what it leaves standing is told",
         .meaning =
             "how the rain of water.storm is spread over its hours: evenly, or by one of the NRCS shapes "
             "of 24 h; it makes the storm run over the ground as a flow",
         .set = [](Site& s, const SiteValue& v) { s.water.run.shape = v.text; }},
        {.name = "water.storm_table",
         .kind = KeyKind::path,
         .example = R"("rain.csv")",
         .otherwise = "the storm as water.storm_shape spreads it",
         .meaning =
             "a storm of one's own to run over the ground: a table with the columns hours and rain_in or "
             "rain_mm, the rain since the start",
         .set = [](Site& s, const SiteValue& v) { s.water.run.table = v.path; }},
        {.name = "water.storm_duration",
         .kind = KeyKind::quantity,
         .dimension = Dimension::time,
         .low = "1 min",
         .high = "30 day",
         .example = R"("2 h" or "45 min")",
         .fallback = R"("24 h")",
         .meaning = "how long an even storm lasts",
         .source = "common practice for farm ponds and drains, no published source",
         .set = [](Site& s, const SiteValue& v) { s.water.run.duration_s = v.number; }},
        {.name = "water.storm_follow",
         .kind = KeyKind::quantity,
         .dimension = Dimension::time,
         .low = "0 h",
         .high = "10 day",
         .example = R"("12 h")",
         .fallback = R"("6 h")",
         .meaning = "how long the water is followed after the rain",
         .source = own_choice,
         .set = [](Site& s, const SiteValue& v) { s.water.run.follow_s = v.number; }},
    };
}

std::vector<SiteKey> loss_keys() {
    return {
        {.name = "water.curve_number",
         .kind = KeyKind::number,
         .low = "1",
         .high = "100",
         .example = "72",
         .otherwise = "the loss of water.soil_texture, or the share of water.runoff_share",
         .meaning =
             "NRCS curve number of the ground for average moisture: what of the running storm soaks in",
         .set = [](Site& s, const SiteValue& v) { s.water.run.curve_number = v.number; }},
        {.name = "water.antecedent",
         .kind = KeyKind::choice,
         .choices = {"dry", "average", "wet"},
         .example = R"("wet")",
         .fallback = R"("average")",
         .meaning = "how moist the soil is before the storm, for the curve number",
         .source = "NRCS National Engineering Handbook part 630, ch. 10",
         .set = [](Site& s, const SiteValue& v) { s.water.run.antecedent = v.text; }},
        {.name = "water.soil_texture",
         .kind = KeyKind::choice,
         .choices = {"sand", "loamy sand", "sandy loam", "loam", "silt loam", "sandy clay loam", "clay loam",
                     "silty clay loam", "sandy clay", "silty clay", "clay"},
         .example = R"("silt loam")",
         .otherwise = "no soaking in after Green and Ampt",
         .meaning = "texture of the soil: the running storm soaks in after Green and Ampt",
         .set = [](Site& s, const SiteValue& v) { s.water.run.texture = v.text; }},
        {.name = "water.soil_saturation",
         .kind = KeyKind::number,
         .low = "0",
         .high = "1",
         .example = "0.3",
         .fallback = "0.5",
         .meaning = "share of the soil's fillable pores that hold water before the storm",
         .source = own_choice,
         .set = [](Site& s, const SiteValue& v) { s.water.run.saturation = v.number; }},
        {.name = "water.soil_conductivity",
         .kind = KeyKind::quantity,
         .dimension = Dimension::speed,
         .example = R"("0.34 cm/h" or "0.13 in/h")",
         .otherwise = "that of the texture's table",
         .meaning =
             "conductivity behind the wetting front in place of the texture's: about half of what a soil "
             "survey gives as saturated (in µm/s there, so look at the unit); from 0 to 180 cm/h",
         .set = [](Site& s, const SiteValue& v) { s.water.run.conductivity = conductivity_of(v.number); }},
    };
}

std::vector<SiteKey> flow_keys() {
    return {
        {.name = "water.roughness",
         .kind = KeyKind::number,
         .low = "0.01",
         .high = "1",
         .example = "0.15",
         .fallback = "0.24",
         .meaning =
             "Manning's n of water a few centimetres deep on this ground (bare 0.05, short grass 0.15)",
         .source = "dense grass, NRCS Technical Release 55 (1986), table 3-1",
         .set = [](Site& s, const SiteValue& v) { s.water.run.roughness = v.number; }},
        {.name = "water.deep_roughness",
         .kind = KeyKind::number,
         .low = "0.01",
         .high = "1",
         .example = "0.04",
         .fallback = "0.05",
         .meaning = "Manning's n of water deeper than a foot; between, n falls with the depth",
         .source =
             "high grass on flooded land, upper end: Chow (1959), Open-Channel Hydraulics, table 5-6 (from "
             "memory)",
         .set = [](Site& s, const SiteValue& v) { s.water.run.deep_roughness = v.number; }},
        {.name = "water.storm_cell",
         .kind = KeyKind::quantity,
         .low = "0 m",
         .high = "100 m",
         .example = R"("5 m" or "15 ft")",
         .fallback = R"("0 m")",
         .meaning = "cell size on which the storm is run; 0 m = chosen so that a farm takes minutes",
         .source = own_choice,
         .set = [](Site& s, const SiteValue& v) { s.water.run.cell_m = v.number; }},
        {.name = "water.storm_lines",
         .kind = KeyKind::path,
         .example = R"("lines.gpkg")",
         .otherwise = "no discharge is told but that of the whole ground",
         .meaning = "lines with the attribute name, across which the running storm's discharge is told",
         .set = [](Site& s, const SiteValue& v) { s.water.run.lines = v.path; }},
    };
}

}  // namespace

std::vector<SiteKey> storm_run_keys() {
    std::vector<SiteKey> keys = rain_keys();
    for (SiteKey& key : loss_keys()) keys.push_back(std::move(key));
    for (SiteKey& key : flow_keys()) keys.push_back(std::move(key));
    return keys;
}

}  // namespace lielow
