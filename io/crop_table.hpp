// SPDX-License-Identifier: Apache-2.0
// What cold each crop bears at each stage of its growth: the program's own table (io/crops.toml, compiled in)
// and a person's own crops beside it.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "sim/kill_curve.hpp"

namespace lielow {

/// Where no second temperature is published, 90 % are taken to die this much below the coldest published
/// figure (where that of half of them is, half as much below it, and 10 % half as much above): the width at
/// full bloom of apple, peach and sweet cherry, 3 °F. A choice of this program.
inline constexpr double supposed_width_k = 3.0 / 1.8;

struct CropStage {
    std::string name;             ///< "full bloom"
    KillCurve curve;              ///< K
    bool supposed_width = false;  ///< t10 and t90 aren't both published: the width is supposed
    std::string basis;            ///< "kill trials" or "extension practice"
    bool from_memory = false;     ///< not read again in its source
    std::string source;           ///< who published the figures
};

struct Crop {
    std::string name;  ///< "highbush blueberry"
    std::vector<CropStage> stages;
};

struct CropTable {
    std::vector<Crop> crops;
    std::string of;  ///< whose: "this program's table", or with the person's own file beside it
};

/// The program's own table; crops of `own` (TOML of the same form) are added, and take the place of those of
/// the same name. Throws InputError in one line that names the file, its line and what to write instead.
CropTable read_crop_table(const std::optional<std::filesystem::path>& own = std::nullopt);

/// Throws InputError, without the site file's name, that names the nearest crop, or the nearest stage of it.
const CropStage& find_crop_stage(const CropTable& table, std::string_view crop, std::string_view stage);

}  // namespace lielow
