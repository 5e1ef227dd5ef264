// SPDX-License-Identifier: Apache-2.0
// The main job: one site, from its file to the out directory.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "io/site.hpp"
#include "io/summary.hpp"
#include "tools/progress.hpp"

namespace lielow {

struct RunRequest {
    std::filesystem::path out;
    std::vector<std::string> only;  ///< names of parts; empty = all
    bool report = true;             ///< report.html, too
};

/// Runs the parts and writes rasters/*.tif, sites.gpkg, summary.json and report.html into `out`, all of them
/// or none. Returns what summary.json says. Throws InputError, RunError or Interrupted.
Summary run_site(Site site, const RunRequest& request, Progress& progress);

}  // namespace lielow
