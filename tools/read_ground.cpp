// SPDX-License-Identifier: Apache-2.0
#include "tools/read_ground.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "io/ground_change_file.hpp"
#include "io/remedy_ground.hpp"
#include "io/site_keys.hpp"
#include "sim/obstacle_changes.hpp"

namespace lielow {
namespace {

/// The name in WKT's first quotes: PROJCRS["NAD83 / UTM zone 17N", ...
std::string crs_name(const std::string& wkt) {
    const auto begin = wkt.find('"');
    if (begin == std::string::npos) return wkt;
    return wkt.substr(begin + 1, wkt.find('"', begin + 1) - begin - 1);
}

void answer(Site& site, std::string_view key, const std::string& text, const std::string& origin) {
    for (SiteSetting& setting : site.settings) {
        if (setting.key == key && setting.origin == "not set") setting = {setting.key, text, origin};
    }
}

/// Ditches among the remedies in force. Their beds fall evenly from end to end, as a ditch is dug: one of
/// even depth would lead no water through a hollow's rim.
void add_ditches(const Site& site, const Dem& dem, std::vector<std::string>& notes,
                 std::vector<GroundChange>& changes) {
    for (const Remedy& remedy : site.done) {
        if (remedy.kind != RemedyKind::ditch) continue;
        for (GroundChange& ditch :
             remedy_ditches(remedy, site.file.filename().string(), dem.ground.grid, dem.geo, notes))
            changes.push_back(std::move(ditch));
    }
}

}  // namespace

Dem read_site_dem(Site& site) {
    Dem dem =
        read_dem({site.ground.dem, site.ground.vertical_unit, site.ground.crs, site.ground.bridge_area_m2});
    answer(site, "ground.vertical_unit", dem.vertical_unit, fmt::format("DEM ({})", dem.vertical_unit_from));
    answer(site, "ground.crs", crs_name(dem.geo.wkt), dem.warped ? "DEM, warped" : "DEM");
    return dem;
}

std::optional<Around> read_site_around(const Site& site, const Dem& dem, const Blocks& finest,
                                       std::vector<std::string>& notes) {
    if (!site.ground.around) return std::nullopt;
    constexpr double finest_cell_m = 5;
    const Grid& grid = dem.ground.grid;
    const Blocks cell{std::max(finest.rows, static_cast<std::int32_t>(std::lround(finest_cell_m / grid.dy))),
                      std::max(finest.cols, static_cast<std::int32_t>(std::lround(finest_cell_m / grid.dx)))};
    Around around = read_around({*site.ground.around, site.ground.around_vertical_unit,
                                 site.ground.around_crs, cell, around_reach_m(grid)},
                                dem, site.ground.dem.filename().string());
    notes.insert(notes.end(), around.notes.begin(), around.notes.end());
    return around;
}

std::vector<FarmField> read_site_fields(const Site& site, const Dem& dem, std::vector<std::string>& notes) {
    std::vector<FarmField> fields;
    if (site.ground.fields) {
        fields = read_fields(*site.ground.fields, dem.ground.grid, dem.geo, notes);
    } else {
        fields.push_back(whole_ground(dem.ground.grid, dem.ground.known, dem.geo));
    }
    const std::string file = site.file.filename().string();
    for (const Remedy& remedy : site.done) {
        check_remedy_fields(remedy, file, fields);
        if (remedy.kind == RemedyKind::moved_field)
            move_field(remedy, file, dem.ground.grid, dem.geo, fields, notes);
    }
    return fields;
}

Obstacles read_site_obstacles(const Site& site, const Dem& dem, std::vector<std::string>& notes) {
    return read_obstacles(
        {site.ground.belts, site.ground.obstacles, site.done, site.file.filename().string()}, dem.ground.grid,
        dem.geo, notes);
}

std::vector<GroundChange> read_site_changes(const Site& site, const Dem& dem, const Obstacles& obstacles,
                                            std::vector<std::string>& notes) {
    std::vector<GroundChange> changes = changes_by_obstacles(obstacles, dem.ground.grid, dem.ground.z);
    if (site.water.changes) {
        for (GroundChange& change : read_ground_changes(*site.water.changes, dem.ground.grid, dem.geo, notes))
            changes.push_back(std::move(change));
    }
    add_ditches(site, dem, notes, changes);
    std::stable_partition(changes.begin(), changes.end(),
                          [](const GroundChange& c) { return c.kind == ChangeKind::bank; });
    if (changes.empty()) return changes;
    Field<float> z = dem.ground.z.clone();
    for (const GroundChange& change : changes) change_ground(dem.ground.grid, change, z);
    return changes;
}

GroundRecord ground_record(const Dem& dem) {
    const Grid& grid = dem.ground.grid;
    const auto known =
        std::count(dem.ground.known.all().begin(), dem.ground.known.all().end(), std::uint8_t{1});
    GroundRecord record;
    record.rows = grid.rows;
    record.cols = grid.cols;
    record.cell_width_m = grid.dx;
    record.cell_height_m = grid.dy;
    record.known_area_m2 = static_cast<double>(known) * grid.cell_area();
    record.crs = crs_name(dem.geo.wkt);
    record.vertical_unit = dem.vertical_unit;
    record.vertical_unit_from = dem.vertical_unit_from;
    record.warped = dem.warped;
    record.bridged_holes = dem.holes.bridged_holes;
    record.bridged_cells = dem.holes.bridged_cells;
    record.open_holes = dem.holes.open_holes;
    record.open_cells = dem.holes.open_cells;
    return record;
}

std::vector<InputRecord> input_records(const Site& site) {
    std::vector<InputRecord> records;
    for (const auto& [key, path] : site.soil.maps) {
        const bool plain = std::filesystem::is_regular_file(path);
        records.push_back(
            {"soil.maps." + key, path.filename().string(), plain ? fingerprint(path) : FileFingerprint{}});
    }
    for (std::size_t i = 0; i < site.settings.size(); ++i) {
        const SiteKey& key = site_keys()[i];
        const SiteSetting& setting = site.settings[i];
        if (key.kind != KeyKind::path || setting.origin != "site file") continue;
        const std::filesystem::path file = site.file.parent_path() / setting.text;
        // A raster may also be a folder or live inside an archive or a database; those have no checksum of
        // their own.
        const bool plain = std::filesystem::is_regular_file(file);
        records.push_back(
            {std::string(key.name), setting.text, plain ? fingerprint(file) : FileFingerprint{}});
    }
    for (const Remedy& remedy : site.done) {
        if (!remedy.file) continue;
        const bool plain = std::filesystem::is_regular_file(*remedy.file);
        records.push_back({fmt::format("remedy.{}.file", remedy.name),
                           remedy.file->lexically_relative(site.file.parent_path()).string(),
                           plain ? fingerprint(*remedy.file) : FileFingerprint{}});
    }
    return records;
}

}  // namespace lielow
