// SPDX-License-Identifier: Apache-2.0
// summary.json: every figure of a run, for machines.
//
// Units: a number's name ends in its unit (_m, _m2, _m3, _s, _bytes, _deg, _share for 0..1), or a "unit"
// stands beside it, or it is a count. Figures are SI whatever `units` the site asks for; settings are texts
// as people wrote them. What isn't known is null. Names come in the same order every time; nothing but the
// object "run" differs between two runs of one site.
#pragma once

#include <cstddef>
#include <cstdint>
#include <string>
#include <utility>
#include <vector>

#include "io/file_fingerprint.hpp"
#include "io/site.hpp"

namespace lielow {

/// A number whose name tells its unit.
struct NamedFigure {
    std::string name;  ///< "under_water_m2"
    double value = 0;
    std::string meaning;  ///< one sentence, for the columns of sites.gpkg
};

/// A text of a field.
struct NamedWords {
    std::string name;
    std::string text;
    std::string meaning;  ///< one sentence, for the columns of sites.gpkg
};

/// One raster over one field.
struct RasterFigures {
    std::string raster;
    std::string unit;
    double least = 0;
    double median = 0;
    double greatest = 0;
    double known_share = 0;    ///< of the field's area, 0..1: where the raster has a value
    std::string meaning = {};  ///< of the raster, one sentence, for the columns of sites.gpkg
};

/// What crosses one of a field's eight sides, means over the night.
struct SideRecord {
    std::string side;  ///< "NW"
    double air_in_m3_s = 0;
    double air_out_m3_s = 0;
    double cold_in_kw = 0;
    double cold_out_kw = 0;
    double low_cold_in_kw = 0;  ///< of cold_in_kw, near the ground
};

struct FieldRecord {
    std::string name;
    double area_m2 = 0;
    std::vector<RasterFigures> rasters;
    std::vector<NamedFigure> figures;
    std::vector<SideRecord> sides = {};  ///< from N clockwise; empty without a night
    std::string cold_comes = {};         ///< one sentence's end, without the field's name; empty likewise
    std::vector<NamedWords> words = {};  ///< further texts, the same for every field
};

/// A named spot and its night.
struct SpotRecord {
    std::string name;
    double x = 0;  ///< in the ground's CRS
    double y = 0;
    std::vector<NamedFigure> figures;
    std::vector<std::pair<std::string, std::string>> words;
};

/// A spot to look at next.
struct TestSpotRecord {
    std::string name;  ///< "T1", "A2"
    std::string kind;  ///< "thermometer" or "auger hole"
    std::string field;
    std::string reason;  ///< one sentence
    double x = 0;        ///< in the ground's CRS
    double y = 0;
    double longitude_deg = 0;  ///< WGS 84
    double latitude_deg = 0;
    double elevation_m = 0;
};

struct HollowRecord {
    double area_m2 = 0;
    double volume_m3 = 0;
    double depth_m = 0;
    double spill_level_m = 0;  ///< elevation
    double spill_x = 0;        ///< in the ground's CRS
    double spill_y = 0;
};

/// Water that a storm leaves on the ground.
struct StormRecord {
    double rain_m = 0;
    double ponded_m3 = 0;
    double ponded_error_m3 = 0;  ///< NaN where the DEM's accuracy isn't known
    double left_ground_m3 = 0;
    double ponded_m2 = 0;                 ///< at least as deep as water.ponded_from
    std::vector<double> field_ponded_m2;  ///< the same in each field, in their order
};

struct InputRecord {
    std::string key;   ///< "ground.dem"
    std::string file;  ///< as the site file names it
    FileFingerprint fingerprint;
};

/// Facts of one part of a run: numbers and words.
struct PartRecord {
    std::string name;
    std::vector<NamedFigure> figures;
    std::vector<std::pair<std::string, std::string>> words;
};

struct GroundRecord {
    std::int64_t rows = 0;
    std::int64_t cols = 0;
    double cell_width_m = 0;
    double cell_height_m = 0;
    double known_area_m2 = 0;  ///< of the cells with a value
    std::string crs;           ///< its name
    std::string vertical_unit;
    std::string vertical_unit_from;
    bool warped = false;
    std::uint64_t bridged_holes = 0;
    std::uint64_t bridged_cells = 0;
    std::uint64_t open_holes = 0;
    std::uint64_t open_cells = 0;
};

struct RunRecord {
    std::vector<std::pair<std::string, double>> stages;  ///< name and seconds
    std::uint64_t peak_memory_bytes = 0;
    int threads = 0;
    std::vector<std::string> notes = {};  ///< on what was kept while it ran
};

struct Summary {
    std::string version;
    std::vector<std::pair<std::string, std::string>> libraries;
    std::string title;
    std::string site_file;  ///< without its folder
    std::vector<InputRecord> inputs;
    std::vector<SiteSetting> settings;
    GroundRecord ground;
    std::vector<PartRecord> parts;
    std::vector<FieldRecord> fields;
    std::vector<SpotRecord> spots = {};
    std::vector<TestSpotRecord> test_spots = {};
    std::size_t hollow_count = 0;
    std::vector<HollowRecord> hollows;     ///< the largest
    std::vector<StormRecord> storms = {};  ///< of the table, in the order asked for
    std::vector<std::string> notes;
    std::vector<std::string> cautions;
    RunRecord run;
};

/// JSON, indented, with a line break at its end.
std::string summary_json(const Summary& summary);

}  // namespace lielow
