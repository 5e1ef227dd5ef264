// SPDX-License-Identifier: Apache-2.0
#include "tools/night_setup.hpp"

#include <fmt/format.h>

#include <utility>

#include "sim/errors.hpp"
#include "sim/sky_view.hpp"
#include "tools/night_times.hpp"
#include "tools/site_wind.hpp"

namespace lielow {
namespace {

EdgeKind edge_kind(NightEdges edges) {
    switch (edges) {
        case NightEdges::open:
            return EdgeKind::open;
        case NightEdges::wall:
            return EdgeKind::wall;
        case NightEdges::far_field:
            break;
    }
    return EdgeKind::far_field;
}

}  // namespace

SiteEvening read_evening(const Site& site, const Dem& dem, const std::vector<FarmField>& fields,
                         Obstacles obstacles, std::vector<std::string>& notes) {
    SiteEvening evening;
    evening.span = night_span(site, dem.geo);
    evening.spot = find_reference_spot(site, dem, fields);
    evening.loss = night_loss(site, dem.geo, evening.span, notes);
    evening.surface = read_site_surface(site, dem, std::move(obstacles), notes);
    if (evening.surface.cover)
        evening.cover_loss = std::make_shared<const Field<float>>(cover_loss(*evening.surface.cover));
    return evening;
}

std::shared_ptr<const Field<float>> site_sky_view(const Dem& dem, int directions) {
    if (directions == 0) return nullptr;
    return std::make_shared<const Field<float>>(
        sky_view_per_map_area(dem.ground.grid, dem.ground.z, directions));
}

NightSetup night_setup(const Site& site, const SiteEvening& evening, std::vector<std::string>& notes) {
    const NightSettings& n = site.night;
    NightSetup setup;
    setup.duration_s = evening.span.length_s();
    setup.evening_air_k = *n.evening_air_k;
    setup.reference_elevation_m = evening.spot.elevation_m;
    set_loss(evening.loss, n, setup);
    setup.cloud = n.cloud;
    setup.mixing_law = n.mixing_by_stability ? MixingLaw::stability : MixingLaw::uniform;
    setup.mixing_m2_s = n.mixing_m2_s;
    setup.calm_friction_velocity_m_s = n.calm_friction_velocity_m_s;
    setup.ground_drag = n.ground_drag;
    setup.interface_drag = n.interface_drag;
    setup.plant_height_m = n.plant_height_m;
    setup.sheet_step_k = n.sheet_step_k;
    setup.sheets = n.sheets;
    setup.cell_m = n.cell_m;
    setup.edges = edge_kind(n.edges);
    setup.cover_loss = evening.cover_loss;
    set_wind(site, setup, notes);
    return setup;
}

NightPlan site_night_plan(const Site& site, const Grid& fine, const NightSetup& setup) {
    try {
        return plan_night(fine, setup);
    } catch (const InputError& error) {
        throw InputError(fmt::format("{}: {}", site.file.string(), error.what()));
    }
}

}  // namespace lielow
