// SPDX-License-Identifier: Apache-2.0
#include "tools/raster_styles.hpp"

#include <cmath>

#include "io/result_raster.hpp"
#include "tools/look_style.hpp"
#include "tools/report_layers.hpp"

namespace lielow {
namespace {

/// Changes are no layers of the report and take their limits from what they span.
RasterStyle style_of(const Look& look, ResultGrid&& grid, PeopleUnits units) {
    const bool known = !std::isnan(grid.least);
    const double least = known ? double{grid.least} : 0;
    const double greatest = known ? double{grid.greatest} : 0;
    if (look.drawn == Drawn::both_ways) return raster_style(look, least, greatest, units);
    const ReportLayer layer = report_layer(look, std::move(grid), units);
    Look as_reported = look;
    as_reported.limits_us = layer.limits;
    as_reported.limits_si = layer.limits;
    return raster_style(as_reported, least, greatest, units);
}

}  // namespace

void write_raster_styles(const std::filesystem::path& folder, PeopleUnits units) {
    for (const std::filesystem::path& raster : rasters_in(folder)) {
        const std::optional<Look> look = look_of(raster.stem().string());
        auto grid = read_result_grid_within(raster, most_report_cells);
        if (!look || !grid) continue;
        write_raster_style(raster, look->classes ? raster_style(look->title, grid->classes)
                                                 : style_of(*look, std::move(*grid), units));
    }
}

}  // namespace lielow
