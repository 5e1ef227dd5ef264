// SPDX-License-Identifier: Apache-2.0
#include "io/summary.hpp"

#include <fmt/format.h>

#include <cmath>

#include "io/json_number.hpp"

namespace lielow {
namespace {

using Json = nlohmann::ordered_json;

/// Of longitude and latitude: to 1e-7, a centimetre.
Json degrees(double value) {
    return std::round(value * 1e7) / 1e7;
}

Json named(const std::vector<NamedFigure>& figures) {
    Json json = Json::object();
    for (const NamedFigure& figure : figures) json[figure.name] = json_number(figure.value);
    return json;
}

Json words(const std::vector<std::pair<std::string, std::string>>& pairs) {
    Json json = Json::object();
    for (const auto& [name, text] : pairs) json[name] = text;
    return json;
}

Json inputs(const std::vector<InputRecord>& records) {
    Json json = Json::array();
    for (const InputRecord& input : records) {
        json.push_back({{"key", input.key},
                        {"file", input.file},
                        {"size_bytes", input.fingerprint.bytes},
                        {"sha256", input.fingerprint.sha256}});
    }
    return json;
}

Json settings(const std::vector<SiteSetting>& all) {
    Json json = Json::object();
    for (const SiteSetting& setting : all)
        json[std::string(setting.key)] = {{"value", setting.text}, {"from", setting.origin}};
    return json;
}

Json ground(const GroundRecord& record) {
    return {{"rows", record.rows},
            {"cols", record.cols},
            {"cell_width_m", json_number(record.cell_width_m)},
            {"cell_height_m", json_number(record.cell_height_m)},
            {"known_area_m2", json_number(record.known_area_m2)},
            {"crs", record.crs},
            {"warped", record.warped},
            {"vertical_unit", {{"value", record.vertical_unit}, {"from", record.vertical_unit_from}}},
            {"holes",
             {{"bridged", record.bridged_holes},
              {"bridged_cells", record.bridged_cells},
              {"left_open", record.open_holes},
              {"left_open_cells", record.open_cells}}}};
}

Json parts(const std::vector<PartRecord>& records) {
    Json json = Json::object();
    for (const PartRecord& part : records) {
        json[part.name] = named(part.figures);
        json[part.name].update(words(part.words));
    }
    return json;
}

Json sides(const std::vector<SideRecord>& records) {
    Json json = Json::object();
    for (const SideRecord& side : records) {
        json[side.side] = {{"air_in_m3_s", json_number(side.air_in_m3_s)},
                           {"air_out_m3_s", json_number(side.air_out_m3_s)},
                           {"cold_in_kw", json_number(side.cold_in_kw)},
                           {"cold_out_kw", json_number(side.cold_out_kw)},
                           {"low_cold_in_kw", json_number(side.low_cold_in_kw)}};
    }
    return json;
}

Json field(const FieldRecord& record) {
    Json rasters = Json::object();
    for (const RasterFigures& raster : record.rasters) {
        rasters[raster.raster] = {{"unit", raster.unit},
                                  {"least", json_number(raster.least)},
                                  {"median", json_number(raster.median)},
                                  {"greatest", json_number(raster.greatest)},
                                  {"known_share", json_number(raster.known_share)}};
    }
    Json json = {{"name", record.name}, {"area_m2", json_number(record.area_m2)}};
    json.update(named(record.figures));
    if (!record.cold_comes.empty()) json["cold_comes"] = record.cold_comes;
    for (const NamedWords& words : record.words) json[words.name] = words.text;
    if (!record.sides.empty()) json["sides"] = sides(record.sides);
    json["rasters"] = rasters;
    return json;
}

Json spot(const SpotRecord& record) {
    Json json = {{"name", record.name},
                 {"position", {{"x", record.x}, {"y", record.y}, {"unit", "that of ground.crs"}}}};
    json.update(named(record.figures));
    json.update(words(record.words));
    return json;
}

Json test_spot(const TestSpotRecord& record) {
    return {{"name", record.name},
            {"kind", record.kind},
            {"field", record.field},
            {"reason", record.reason},
            {"position", {{"x", record.x}, {"y", record.y}, {"unit", "that of ground.crs"}}},
            {"longitude_deg", degrees(record.longitude_deg)},
            {"latitude_deg", degrees(record.latitude_deg)},
            {"elevation_m", json_number(record.elevation_m)}};
}

Json hollow(const HollowRecord& record) {
    return {
        {"area_m2", json_number(record.area_m2)},
        {"volume_m3", json_number(record.volume_m3)},
        {"depth_m", json_number(record.depth_m)},
        {"spill_level_m", json_number(record.spill_level_m)},
        {"spill_position", {{"x", record.spill_x}, {"y", record.spill_y}, {"unit", "that of ground.crs"}}}};
}

Json storm(const StormRecord& record, const std::vector<FieldRecord>& fields) {
    Json in_fields = Json::array();
    for (std::size_t i = 0; i < record.field_ponded_m2.size(); ++i)
        in_fields.push_back(
            {{"name", fields.at(i).name}, {"ponded_m2", json_number(record.field_ponded_m2[i])}});
    return {{"rain_m", json_number(record.rain_m)},
            {"ponded_m3", json_number(record.ponded_m3)},
            {"ponded_error_m3", json_number(record.ponded_error_m3)},
            {"left_ground_m3", json_number(record.left_ground_m3)},
            {"ponded_m2", json_number(record.ponded_m2)},
            {"fields", in_fields}};
}

Json run(const RunRecord& record) {
    Json stages = Json::array();
    for (const auto& [name, seconds] : record.stages)
        stages.push_back({{"stage", name}, {"time_s", std::round(seconds * 1000) / 1000}});
    return {{"threads", record.threads},
            {"peak_memory_bytes", record.peak_memory_bytes},
            {"stages", stages},
            {"notes", record.notes}};
}

template <class Records, class ToJson>
Json list(const Records& records, ToJson to_json) {
    Json json = Json::array();
    for (const auto& record : records) json.push_back(to_json(record));
    return json;
}

}  // namespace

std::string summary_json(const Summary& summary) {
    Json json;
    json["tool"] = {
        {"name", "lielow"}, {"version", summary.version}, {"libraries", words(summary.libraries)}};
    json["title"] = summary.title;
    json["site_file"] = summary.site_file;
    json["cautions"] = summary.cautions;
    json["notes"] = summary.notes;
    json["inputs"] = inputs(summary.inputs);
    json["settings"] = settings(summary.settings);
    json["ground"] = ground(summary.ground);
    json["parts"] = parts(summary.parts);
    json["fields"] = list(summary.fields, field);
    if (!summary.spots.empty()) json["spots"] = list(summary.spots, spot);
    if (!summary.test_spots.empty()) json["test_spots"] = list(summary.test_spots, test_spot);
    json["hollows"] = {{"count", summary.hollow_count}, {"largest", list(summary.hollows, hollow)}};
    json["storms"] = list(summary.storms, [&](const StormRecord& s) { return storm(s, summary.fields); });
    json["run"] = run(summary.run);
    // A name may hold bytes that are no UTF-8; better a replacement character than no summary.
    return json.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

}  // namespace lielow
