// SPDX-License-Identifier: Apache-2.0
// The main job: one site, from its file to the out directory.
#pragma once

#include <cstdint>
#include <filesystem>
#include <functional>
#include <limits>
#include <optional>
#include <string>
#include <vector>

#include "io/site.hpp"
#include "io/summary.hpp"
#include "sim/ground.hpp"
#include "tools/progress.hpp"

namespace lielow {

struct RunRequest {
    std::filesystem::path out;
    std::vector<std::string> only;  ///< names of parts; empty = all
    /// Results of an earlier run of the same site: layers of parts that aren't run are read from there.
    std::optional<std::filesystem::path> reuse = {};
    /// A run that is expected to take more ends before it starts.
    std::uint64_t most_memory_bytes = std::numeric_limits<std::uint64_t>::max();
    bool resume = false;  ///< go on from what a run that was stopped has kept in `out`
    /// Changes the elevations just read, where it is set.
    std::function<void(Ground& ground)> alter_ground = {};
    bool report = true;  ///< report.html, too
    bool styles = true;  ///< what a GIS draws the rasters by, and the item for its catalogue, too
};

/// Runs the parts and writes rasters/ (*.tif, *.sld, *.qml), archive.nc, sites.gpkg, summary.json and
/// report.html into `out`, all of them or none. Returns what summary.json says. Throws InputError, RunError
/// or Interrupted.
Summary run_site(Site site, const RunRequest& request, Progress& progress);

}  // namespace lielow
