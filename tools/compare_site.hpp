// SPDX-License-Identifier: Apache-2.0
// `lielow compare`: a site without, with each, and with all of its remedies.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "io/site.hpp"
#include "tools/compare_ground.hpp"
#include "tools/progress.hpp"

namespace lielow {

/// What came out of one variant.
struct VariantResult {
    std::string name;
    std::string folder;
    std::string text;
    std::vector<std::string> parts;     ///< that its remedies touch
    std::vector<MeasureValues> fields;  ///< in the order of Comparison::fields
    SentOn sent;
    bool kept = false;  ///< from an earlier comparison
};

struct Comparison {
    std::string title;
    std::string site_file;
    std::vector<std::string> fields;
    std::vector<VariantResult> variants;  ///< the first is the site without remedies
    std::vector<std::string> notes;
    std::vector<std::string> cautions;
};

/// Runs what isn't in `out` already and writes comparison.json and comparison.csv beside the variants'
/// folders. `only` limits the parts; empty = all. Throws InputError, RunError or Interrupted.
Comparison compare_site(Site site, const std::vector<std::string>& only, const std::filesystem::path& out,
                        Progress& progress);

}  // namespace lielow
