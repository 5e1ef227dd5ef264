// SPDX-License-Identifier: Apache-2.0
#include "tools/remedy_drains.hpp"

#include <algorithm>

#include "io/remedy_ground.hpp"
#include "sim/drain_layout.hpp"

namespace lielow {
namespace {

constexpr double pipe_radius_m = 0.05;

/// A ditch holds water at its bed, which lies deeper below the ground where that is high.
void add_ditch(const Site& site, const Dem& dem, const Remedy& remedy, const Soil& soil,
               GroundDrains& drains) {
    const Grid& grid = dem.ground.grid;
    std::vector<std::string> told_already;
    const DrainLine makes_room;
    lay_lines(grid, soil, {&makes_room, 1}, drains);
    for (const GroundChange& ditch :
         remedy_ditches(remedy, site.file.filename().string(), grid, dem.geo, told_already)) {
        Field<float> dug = dem.ground.z.clone();
        change_ground(grid, ditch, dug);
        for (const std::uint32_t cell : cells_along(grid, ditch)) {
            const float cut = std::min(dem.ground.z[cell] - dug[cell], soil.floor_depth_m[cell]);
            float& depth = drains.ditch_depth_m[cell];
            if (cut > 0 && !(depth >= cut)) depth = cut;
        }
    }
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
