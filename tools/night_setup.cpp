// SPDX-License-Identifier: Apache-2.0
#include "tools/night_setup.hpp"

#include <fmt/format.h>

#include <algorithm>
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

void note_poor_plan(const NightPlan& plan, std::vector<std::string>& notes) {
    constexpr int fewest_cells = 10;
    if (std::min(plan.grid.rows, plan.grid.cols) < fewest_cells) {
        notes.push_back(fmt::format(
            "the night is solved on {} x {} cells of {:.4g} m x {:.4g} m; on fewer than {} a side the cold "
            "air's ways don't show: take a smaller night.cell or a larger DEM",
            plan.grid.rows, plan.grid.cols, plan.grid.dx, plan.grid.dy, fewest_cells));
    }
    const double span_k = plan.sheets * plan.sheet_step_k;
    if (span_k < plan.flat_drop_k) {
        notes.push_back(fmt::format(
            "{} sheets of {:.2g} K each span {:.2g} K, yet flat ground cools by {:.2g} K: colder air is cut "
            "off; leave out night.sheets or night.sheet_step",
            plan.sheets, plan.sheet_step_k, span_k, plan.flat_drop_k));
    }
    constexpr int fewest_sheets = 4;
    if (plan.sheets < fewest_sheets) {
        notes.push_back(
            fmt::format("the night is solved with {} sheets of air, {:.2g} K apart; on fewer than {} "
                        "temperatures come out coarse",
                        plan.sheets, plan.sheet_step_k, fewest_sheets));
    }
}

std::optional<std::string> ladder_caution(const NightPlan& plan, double full_share) {
    if (!(full_share > 0)) return std::nullopt;
    return fmt::format(
        "On {:.1f} % of the ground the air grew colder than the sheets of the night can show "
        "({:.1f} K below the "
        "evening air); it reads too warm there. Raise night.sheets or night.sheet_step.",
        100 * full_share, (plan.sheets + 0.5) * plan.sheet_step_k);
}

}  // namespace lielow
