// SPDX-License-Identifier: Apache-2.0
// Banks, ditches, culverts and tile lines from a vector file.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "io/georef.hpp"
#include "sim/ground_changes.hpp"

namespace lielow {

/// Reads lines with the attribute `kind`; lengths are texts with their unit ("2 ft"), or numbers in metres in
/// an attribute whose name ends in _m:
///
/// | kind | attributes |
/// | --- | --- |
/// | bank | height; width of its crest may be left out (one cell) |
/// | ditch | depth; width may be left out (one cell) |
/// | culvert, tile | depth of the bed below the ground at its ends may be left out (0) |
///
/// Banks come first, then the others, each in the file's order, because a culvert leads through a bank. Lines
/// are brought to the ground's CRS; one wholly beyond the ground is left out with a note. Throws InputError
/// in one line: no such file, no lines with `kind`, an unknown kind, another shape than a line, a missing or
/// impossible attribute, no CRS.
std::vector<GroundChange> read_ground_changes(const std::filesystem::path& path, const Grid& grid,
                                              const GeoReference& geo, std::vector<std::string>& notes);

}  // namespace lielow
