// SPDX-License-Identifier: Apache-2.0
// What the parts of a run (water, night ...) share, and what each of them does with a finished raster.
#pragma once

#include <filesystem>
#include <map>
#include <memory>
#include <optional>
#include <set>
#include <string>
#include <string_view>
#include <vector>

#include "io/archive.hpp"
#include "io/dem.hpp"
#include "io/fields.hpp"
#include "io/obstacles.hpp"
#include "io/raster.hpp"
#include "io/resume_folder.hpp"
#include "io/site.hpp"
#include "io/sites_gpkg.hpp"
#include "io/staging.hpp"
#include "io/summary.hpp"
#include "sim/ground_changes.hpp"
#include "sim/night.hpp"
#include "tools/progress.hpp"
#include "tools/site_soil_facts.hpp"

namespace lielow {

/// Colder than the reference by more than this counts as a cold part of a field: 2 °F.
inline constexpr double clearly_colder_k = 2.0 / 1.8;

struct NightHours;

struct SiteRun {
    Site site;
    Progress& progress;
    Staging& staging;
    Dem dem;
    std::vector<FarmField> fields;  ///< at least one: the whole ground where the site has no outlines
    Obstacles obstacles;
    std::vector<GroundChange> changes;          ///< for the water alone, by obstacles too
    Summary summary;                            ///< its `fields` stand in the order of `fields` above
    std::vector<VectorLayer> layers;            ///< for sites.gpkg, beyond the fields
    std::optional<NightResult> night;           ///< with its states through time, once the night part has run
    std::vector<std::string_view> chosen = {};  ///< names of the parts of this run
    std::optional<std::filesystem::path> reuse = {};  ///< results of an earlier run of the site
    std::filesystem::path out = {};                   ///< where the results will stand
    std::set<std::string, std::less<>> keep = {};     ///< rasters of which finish_raster keeps a copy
    std::map<std::string, Field<float>, std::less<>> kept = {};  ///< those copies: 4 bytes a cell each
    SoilKnowledge soil = {};                                     ///< by survey and tests
    std::unique_ptr<Archive> archive = {};                       ///< null where the site wants none
    std::unique_ptr<ResumeFolder> resume = {};  ///< where the run keeps its state, once the inputs are read
    std::shared_ptr<const NightHours> night_hours = {};  ///< for the report, once the night part has run
};

/// A part of a run. It asks for keys by its name (io/site_keys.cpp, needed_for).
struct Part {
    std::string_view name;
    std::string_view summary;
    void (*run)(SiteRun& run);
};

/// Every part of this version, in the order they run. A new part is a file part_*.cpp and a line in the
/// table.
const std::vector<Part>& part_table();

void run_drain(SiteRun& run);
void run_night_part(SiteRun& run);
void run_look(SiteRun& run);
void run_siting(SiteRun& run);
void run_soil(SiteRun& run);
void run_sure(SiteRun& run);
void run_water(SiteRun& run);

/// Begins a stage of the progress unless the person has asked to stop.
void begin_stage(SiteRun& run, std::string_view name);

/// Takes out what the DEM didn't know, adds the figures of each field to the summary, writes
/// rasters/NAME.tif, and frees it, but for a copy where SiteRun::keep asks for one.
void finish_raster(SiteRun& run, Field<float>&& values, const BandLabel& label);

}  // namespace lielow
