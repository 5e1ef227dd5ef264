// SPDX-License-Identifier: Apache-2.0
// Remedies side by side in the report, from a comparison that lies beside the run's results.
#pragma once

#include <filesystem>
#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "tools/report_layers.hpp"

namespace lielow {

struct Remedies {
    bool there = false;            ///< a comparison lies there
    bool of_this_site = false;     ///< made from the same inputs
    std::string table;             ///< HTML
    nlohmann::ordered_json pairs;  ///< for the swipe
    nlohmann::ordered_json grids;  ///< by the names in `pairs`
};

/// Reads `folder`/comparison.json and the rasters of its variants. `inputs`: of the run's summary; a
/// comparison made from others is not shown.
Remedies read_remedies(const std::filesystem::path& folder, const nlohmann::ordered_json& inputs,
                       const std::vector<ReportLayer>& layers, std::int32_t every, double cell_x_m,
                       double cell_y_m, PeopleUnits units);

}  // namespace lielow
