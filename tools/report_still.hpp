// SPDX-License-Identifier: Apache-2.0
// Still maps: for paper, and for a page without script.
#pragma once

#include <string>

#include "io/result_shapes.hpp"
#include "tools/report_layers.hpp"

namespace lielow {

/// A dot with a name.
struct StillSpot {
    std::string name;
    double x_m = 0;  ///< along the rows, from the grid's first corner
    double y_m = 0;
};

struct StillGround {
    Grid grid;             ///< all cells, before thinning
    double north_deg = 0;  ///< of the map's north, clockwise from straight up
    std::string relief;    ///< address of the picture of the relief
    PeopleUnits units = PeopleUnits::us;
    std::vector<ResultShape> fields;
    std::vector<StillSpot> spots = {};
};

/// The relief, to be defined once in the page; still maps refer to it.
std::string relief_svg(const StillGround& ground);

/// A figure: the layer over the relief, the fields with their names, scale, north arrow, legend. `told` is
/// its text for who can't see it.
std::string still_map(const StillGround& ground, const ReportLayer& layer, const std::string& told);

/// A part of a polygon's outline as an SVG path.
std::string outline_path(const ResultShape& shape);

}  // namespace lielow
