// SPDX-License-Identifier: Apache-2.0
// Layers of other parts that a part of a run needs: kept from this run, or read from an earlier one.
#pragma once

#include <span>
#include <string_view>

#include "tools/site_run.hpp"

namespace lielow {

/// A raster that the siting reads, and the part that makes it.
struct NeededLayer {
    std::string_view name;
    std::string_view part;
};
std::span<const NeededLayer> siting_layers();

/// Asks finish_raster to keep what the chosen parts will need, and reads what parts that aren't run left in
/// SiteRun::reuse. Throws InputError when that folder holds no results, results of another DEM, or rasters on
/// another grid; notes what was taken from there, and which settings were others then.
void prepare_layers(SiteRun& run);

/// The layer, or nullptr where neither this run nor an earlier one has it.
const Field<float>* find_layer(const SiteRun& run, std::string_view name);

}  // namespace lielow
