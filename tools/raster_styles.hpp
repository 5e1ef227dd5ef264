// SPDX-License-Identifier: Apache-2.0
// Style files beside the rasters of a run.
#pragma once

#include <filesystem>

#include "io/people_units.hpp"

namespace lielow {

/// Writes NAME.sld and NAME.qml beside every raster in `folder` that has a look: the colours and the limits
/// of the report, the outermost classes reaching as far as the values do. Nothing where there is no such
/// folder. Throws RunError.
void write_raster_styles(const std::filesystem::path& folder, PeopleUnits units);

}  // namespace lielow
