// SPDX-License-Identifier: Apache-2.0
// What each crop asks of soil and water: the program's own table (io/crop_needs.toml, compiled in) and a
// person's own rows beside it. What no row says is unknown.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace lielow {

/// One figure, or two, with its own source; SI: m, s, pH, rise over run, number of the DrainageClass.
struct CropNeed {
    std::string what;  ///< "soil depth" ... as io/crop_needs.toml lists them
    double first = 0;
    double second = 0;         ///< as first where the row has one figure
    std::string text;          ///< as written: "20 in", "4.5 to 5"
    std::string basis;         ///< "published" or "common practice"
    bool from_memory = false;  ///< not read again in its source
    std::string source;
};

struct CropNeeds {
    std::string crop;
    std::vector<CropNeed> needs;
};

/// Every crop of the program's table, then those of `own`: a row of `own` takes the place of the crop's row
/// of the same kind. Throws InputError in one line that names the file, its line and what to write instead.
std::vector<CropNeeds> read_crop_needs(const std::optional<std::filesystem::path>& own = std::nullopt);

/// The row, or nullptr where it isn't known; crops in large or small letters.
const CropNeed* find_crop_need(const std::vector<CropNeeds>& all, std::string_view crop,
                               std::string_view what);

/// Class of soil surveys by its name, "somewhat poorly" or "somewhat poorly drained", as the number of its
/// enum; nullopt for no such name.
std::optional<int> drainage_class_named(std::string_view name);
/// "somewhat poorly drained"; for a number that is no class the nearest.
std::string_view drainage_class_name(int number);
/// How often ground floods or ponds: "none", "very rare" ... "very frequent".
std::optional<int> water_frequency_named(std::string_view name);
std::string_view water_frequency_name(int number);

}  // namespace lielow
