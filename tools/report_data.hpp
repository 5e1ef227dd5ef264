// SPDX-License-Identifier: Apache-2.0
// What the report's script works with: grids, layers, lines, the night's hours, units, as one JSON object.
#pragma once

#include <nlohmann/json_fwd.hpp>
#include <string>
#include <vector>

#include "tools/report_layers.hpp"
#include "tools/report_places.hpp"
#include "tools/report_remedies.hpp"
#include "tools/report_still.hpp"
#include "tools/site_run.hpp"

namespace lielow {

/// Everything that is gathered once for the page.
struct ReportGround {
    StillGround still;
    std::int32_t every = 1;  ///< cells are thinned by this
    double cell_x_m = 0;     ///< of the thinned cells
    double cell_y_m = 0;
    Field<std::uint8_t> field_number;  ///< of each cell the field that covers most of it, 255 = none
    std::vector<ReportLayer> layers;
    std::vector<MeasurePlace> places;
};

nlohmann::ordered_json report_data(const SiteRun& run, const ReportGround& ground, const Remedies& remedies);

/// The layer of water depths under the stage's slider.
ReportLayer stage_layer(PeopleUnits units);

}  // namespace lielow
