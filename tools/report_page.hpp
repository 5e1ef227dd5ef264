// SPDX-License-Identifier: Apache-2.0
// report.html: one file that holds everything the grower and the adviser look at.
#pragma once

#include <filesystem>

#include "tools/site_run.hpp"

namespace lielow {

/// Writes report.html into the run's staging folder, from its summary, its rasters and sites.gpkg, which must
/// lie there already. `compare_folder`: results of `lielow compare`, shown when they are there and of this
/// site. Throws RunError. Nothing of summary.run goes in: the same inputs give the same bytes.
void write_report(SiteRun& run, const std::filesystem::path& compare_folder);

}  // namespace lielow
