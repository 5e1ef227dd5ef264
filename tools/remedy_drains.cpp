// SPDX-License-Identifier: Apache-2.0
#include "tools/remedy_drains.hpp"

#include <algorithm>

#include "io/remedy_ground.hpp"
#include "sim/drain_layout.hpp"

namespace lielow {
namespace {

constexpr double pipe_radius_m = 0.05;

void add_ditch(const Site& site, const Dem& dem, const Remedy& remedy, const Soil& soil,
               GroundDrains& drains) {
    std::vector<std::string> told_already;
    DrainLine ditch;
    ditch.name = remedy.name;
    ditch.ditch = true;
    ditch.depth_m = *remedy.depth_m;
    ditch.lines = remedy_lines(remedy, site.file.filename().string(), dem.ground.grid, dem.geo, told_already);
    lay_lines(dem.ground.grid, soil, {&ditch, 1}, drains);
}

}  // namespace

bool is_done(const Site& site, RemedyKind kind) {
    return std::any_of(site.done.begin(), site.done.end(),
                       [kind](const Remedy& remedy) { return remedy.kind == kind; });
}

void add_remedy_drains(const Site& site, const Dem& dem, const std::vector<FarmField>& fields,
                       const Soil& soil, GroundDrains& drains) {
    for (const Remedy& remedy : site.done) {
        if (remedy.kind == RemedyKind::ditch) add_ditch(site, dem, remedy, soil, drains);
    }
    for (const Remedy& remedy : site.done) {
        if (remedy.kind != RemedyKind::drains) continue;
        for (const FarmField& field : fields) {
            if (!remedy.acts_in(field.name)) continue;
            lay_pattern(dem.ground.grid, soil, field.cells, field.share,
                        remedy.depth_m.value_or(site.drain.pipe_depth_m), *remedy.spacing_m, pipe_radius_m,
                        drains);
        }
    }
}

Field<float> remedy_beds(const Site& site, const Dem& dem, const std::vector<FarmField>& fields) {
    Field<float> beds;
    if (!is_done(site, RemedyKind::raised_bed)) return beds;
    beds = Field<float>(dem.ground.grid.rows, dem.ground.grid.cols, 0.0F);
    for (const Remedy& remedy : site.done) {
        if (remedy.kind != RemedyKind::raised_bed) continue;
        for (const FarmField& field : fields) {
            if (!remedy.acts_in(field.name)) continue;
            for (std::size_t i = 0; i < field.cells.size(); ++i) {
                float& bed = beds[field.cells[i]];
                if (field.share[i] >= 0.5F) bed = std::max(bed, static_cast<float>(*remedy.height_m));
            }
        }
    }
    return beds;
}

}  // namespace lielow
