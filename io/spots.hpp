// SPDX-License-Identifier: Apache-2.0
// Named spots whose night is to be told hour by hour.
#pragma once

#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

#include "io/georef.hpp"

namespace lielow {

struct Spot {
    std::string name;
    double x = 0;  ///< in the ground's CRS
    double y = 0;
};

/// "Gate: 431250.0, 4512800.0; Pond: 431300, 4512700": names and map positions in the ground's CRS. Throws
/// InputError in one line, without the key's name.
std::vector<Spot> spots_in_text(std::string_view text);

/// Points of a vector file with their names (attribute "name", any case, or the first text attribute; "spot
/// 1" where there is none), brought into the ground's CRS; or a CSV table with the columns name and either x,
/// y (in the ground's CRS) or lon, lat (WGS 84, degrees). Throws InputError in one line: no such file, not a
/// vector file, no points, no CRS, a row without a position.
std::vector<Spot> read_spots(const std::filesystem::path& path, const GeoReference& geo,
                             std::vector<std::string>& notes);

/// Throws InputError when two spots have one name; `where` begins the message.
void check_spot_names(const std::vector<Spot>& spots, std::string_view where);

}  // namespace lielow
