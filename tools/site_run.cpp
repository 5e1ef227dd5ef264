// SPDX-License-Identifier: Apache-2.0
#include "tools/site_run.hpp"

#include <fmt/format.h>

#include <limits>

#include "sim/zonal.hpp"
#include "tools/stop.hpp"

namespace lielow {
namespace {

void blank_unknown(Field<float>& values, const Field<std::uint8_t>& known) {
    for (std::size_t cell = 0; cell < values.size(); ++cell) {
        if (known[cell] == 0) values[cell] = std::numeric_limits<float>::quiet_NaN();
    }
}

}  // namespace

const std::vector<Part>& part_table() {
    static const std::vector<Part> parts{
        {"night",
         "lowest temperature of a clear calm night, its offset from the reference spot, depth of the cold "
         "air, what it does to the crop",
         run_night_part},
        {"water", "fill stage, depth at the stage asked for, closed hollows, ponds of storms, drainage ways",
         run_water},
        {"soil",
         "what survey and tests say of the soil, and where an auger should settle what they leave open",
         run_soil},
        {"drain", "days after the storm until the ground is free of water again, and what would help",
         run_drain},
        {"siting", "where the crop can be planted, where with which work, where not, and why", run_siting},
        {"sure", "the siting again and again with other errors and figures: how sure it is", run_sure},
        {"look", "where thermometers and auger holes would tell most", run_look},
    };
    return parts;
}

void begin_stage(SiteRun& run, std::string_view name) {
    throw_if_stopped();
    run.progress.begin(name);
}

void finish_raster(SiteRun& run, Field<float>&& values, const BandLabel& label) {
    throw_if_stopped();
    blank_unknown(values, run.dem.ground.known);
    if (run.keep.contains(label.name)) run.kept[label.name] = values.clone();
    for (std::size_t i = 0; i < run.fields.size(); ++i) {
        const FarmField& field = run.fields[i];
        const ZonalFigures figures = zonal_figures(run.dem.ground.grid, values, {field.cells, field.share});
        run.summary.fields[i].rasters.push_back({label.name, label.unit, figures.least, figures.median,
                                                 figures.greatest, figures.known_share, label.description});
    }
    write_raster(run.staging.path(fmt::format("rasters/{}.tif", label.name)), run.dem.geo, std::move(values),
                 label);
}

}  // namespace lielow
