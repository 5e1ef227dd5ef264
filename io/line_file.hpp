// SPDX-License-Identifier: Apache-2.0
// Named lines from a vector file, such as those across which a storm's discharge is told.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "io/georef.hpp"
#include "sim/line_cells.hpp"

namespace lielow {

struct NamedLine {
    std::string name;
    Polyline line;  ///< m from the outer corner of the grid's first cell
};

/// Every line of every layer with the attribute `name`; a feature of several lines gives several of one name.
/// Throws InputError in one line: no such file, no such layer, no CRS, something that is not a line.
std::vector<NamedLine> read_named_lines(const std::filesystem::path& path, const Grid& grid,
                                        const GeoReference& geo, std::vector<std::string>& notes);

}  // namespace lielow
