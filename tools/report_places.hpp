// SPDX-License-Identifier: Apache-2.0
// Where measuring would tell most: the test spots, or without them each field's coldest and mildest place.
#pragma once

#include <string>
#include <vector>

#include "io/georef.hpp"
#include "io/summary.hpp"
#include "tools/report_layers.hpp"

namespace lielow {

struct MeasurePlace {
    std::string field;
    std::string what;  ///< "coldest place", or a test spot's name
    double x_m = 0;    ///< along the rows, from the grid's first corner
    double y_m = 0;
    float offset_k = 0;  ///< against the reference spot; nought for a test spot
};

/// By the layer night_offset; none without it. `field_number`: of each cell, 255 = none.
std::vector<MeasurePlace> measure_places(const std::vector<ReportLayer>& layers,
                                         const Field<std::uint8_t>& field_number,
                                         const std::vector<std::string>& fields, double cell_x_m,
                                         double cell_y_m);

/// The test spots as places on the grid.
std::vector<MeasurePlace> test_places(const std::vector<TestSpotRecord>& spots, const Grid& grid,
                                      const GeoReference& geo);

/// The test spots for people, with their reasons, longitude and latitude.
std::string test_spots_html(const std::vector<TestSpotRecord>& spots, PeopleUnits units);

/// The places as a list for people, with longitude and latitude.
std::string measure_html(const std::vector<MeasurePlace>& places, const Grid& grid, const GeoReference& geo,
                         PeopleUnits units);

}  // namespace lielow
