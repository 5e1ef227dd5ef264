// SPDX-License-Identifier: Apache-2.0
// Drains as drawn in a GIS.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "io/georef.hpp"
#include "sim/drain_layout.hpp"

namespace lielow {

/// Reads lines with the attributes `depth` (a text with its unit, "3 ft"; or depth_m, a number) and, as far
/// as there are, `kind` ("pipe", the default, or "ditch"), `diameter` of a pipe (default 4 in), `spacing` to
/// its neighbours, `name`. They come back in metres along and down the rows of the ground. A line outside the
/// ground is left out with a note. Throws InputError in one line: no such file, no lines, no or an impossible
/// depth, another kind, no CRS.
std::vector<DrainLine> read_drain_lines(const std::filesystem::path& path, const Grid& grid,
                                        const GeoReference& geo, std::vector<std::string>& notes);

}  // namespace lielow
