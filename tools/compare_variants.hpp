// SPDX-License-Identifier: Apache-2.0
// A site without, with each, and with all of its remedies: what is to be run.
#pragma once

#include <string>
#include <vector>

#include "io/dem.hpp"
#include "io/fields.hpp"
#include "io/site.hpp"
#include "sim/ground_changes.hpp"

namespace lielow {

struct Variant {
    std::string name;                   ///< the remedy's; "without remedies", "all together"
    std::string folder;                 ///< within the results
    std::string text;                   ///< what is done, as written
    Site site;                          ///< with the remedies in force
    std::vector<std::string> parts;     ///< those to run; of a remedy, those it can change
    std::vector<GroundChange> changes;  ///< what the water meets
    std::vector<FarmField> fields;
    bool soil = false;  ///< enough is known of it for the days after the storm
};

/// The site as it is, then with each remedy, then with all of them where there is more than one. Reads and
/// judges every remedy. `only` limits the parts; empty = all. Throws InputError in one line: no remedies, a
/// field that isn't there, a shape outside the ground, a gap that opens nothing, a remedy that needs a soil
/// or a crop which the site lacks.
std::vector<Variant> plan_comparison(const Site& site, const Dem& dem, const std::vector<std::string>& only,
                                     std::vector<std::string>& notes);

}  // namespace lielow
