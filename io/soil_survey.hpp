// SPDX-License-Identifier: Apache-2.0
// A soil survey on the ground's cells: outlines, or a raster of soil units, with their attributes.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "io/georef.hpp"
#include "io/soil_columns.hpp"
#include "sim/ground.hpp"
#include "sim/soil_facts.hpp"

namespace lielow {

struct SurveyRequest {
    std::optional<std::filesystem::path> survey;  ///< vector with outlines, or raster of unit numbers
    std::optional<std::filesystem::path> table;   ///< CSV with a row for each unit
    std::string key = "mukey";                    ///< column (and attribute) by which the two are joined
    SoilReading reading;
    std::vector<std::pair<std::string, std::filesystem::path>>
        maps;  ///< attribute and raster; wins over survey
};

struct SoilSurvey {
    SoilFacts facts;
    std::size_t outlines = 0;  ///< on the ground, that say something; 0 for a raster
    std::size_t units = 0;     ///< different soils among them
};

/// Each cell takes the outline that covers the largest share of it (the first of equals), where they cover
/// half of it at least: soil changes at borders. Null is unknown, never zero. Throws InputError in one line:
/// no such file, no outlines, no CRS, a raster without its table, nothing on the ground, and what SoilColumns
/// refuses, naming the outline. Notes: outlines that overlap and disagree, units that the table lacks, a
/// change of CRS.
SoilSurvey read_soil_survey(const SurveyRequest& request, const Ground& ground, const GeoReference& geo,
                            std::vector<std::string>& notes);

}  // namespace lielow
