// SPDX-License-Identifier: Apache-2.0
#include "tools/night_surface.hpp"

#include <fmt/format.h>

#include <utility>

#include "io/land_cover.hpp"
#include "io/people_units.hpp"

namespace lielow {
namespace {

/// Area of each class on known ground, m².
std::vector<double> class_areas(const LandCover& cover, const Ground& ground) {
    std::vector<double> areas(cover.classes.size(), 0.0);
    for (std::size_t c = 0; c < cover.cells.size(); ++c) {
        if (cover.cells[c] != 0 && ground.known[c] != 0)
            areas[cover.cells[c] - 1U] += ground.grid.cell_area();
    }
    return areas;
}

std::string class_text(const CoverClass& c) {
    std::string text = fmt::format("loss {:g}", c.loss);
    text += c.ground_drag ? fmt::format(", ground drag {:g}", *c.ground_drag) : ", the night's ground drag";
    if (c.canopy_drag > 0)
        text += fmt::format(", canopy {:g} m high with drag {:g}", c.height_m, c.canopy_drag);
    return text;
}

std::string obstacle_text(const Obstacle& obstacle, PeopleUnits units) {
    const std::string width = obstacle.areas.empty()
                                  ? ""
                                  : fmt::format(", {} wide", people_text(obstacle.areas.front().width_m,
                                                                         PeopleQuantity::height, units));
    const std::string held = obstacle.is_solid()
                                 ? "solid"
                                 : fmt::format("openness {:.2g}, loss coefficient {:.2g}", obstacle.openness,
                                               loss_coefficient(obstacle.kind, obstacle.openness));
    std::size_t openings = 0;
    for (const ObstacleLine& line : obstacle.lines) openings += line.openings.size();
    for (const ObstacleArea& area : obstacle.areas) openings += area.openings.size();
    return fmt::format("{} ({}): {} high{}, {}{}.\n", obstacle.name, kind_name(obstacle.kind),
                       people_text(obstacle.height_m, PeopleQuantity::height, units), width, held,
                       openings > 0 ? fmt::format(", {} opening{}", openings, openings > 1 ? "s" : "") : "");
}

}  // namespace

SiteSurface read_site_surface(const Site& site, const Dem& dem, Obstacles obstacles,
                              std::vector<std::string>& notes) {
    SiteSurface surface{std::move(obstacles), {}};
    if (site.ground.cover)
        surface.cover = read_land_cover(*site.ground.cover, site.cover, dem.ground, dem.geo, notes);
    return surface;
}

NightSurface night_surface(const SiteSurface& surface, const NightSetup& setup, const NightPlan& plan,
                           const Ground& ground, std::vector<std::string>& notes) {
    NightSurface night;
    CanopySum canopy(plan.grid);
    if (surface.cover) add_cover(*surface.cover, plan.blocks, setup.ground_drag, canopy, night);
    add_standing(surface.obstacles.standing, ground.grid, plan.blocks, canopy, night);
    for (const std::string& name : add_passages(surface.obstacles.passages, block_means(ground, plan.blocks),
                                                plan.grid, canopy, night)) {
        notes.push_back(
            fmt::format("obstacle \"{}\": no bank stands between its ends on the night's cells of {:.4g} m; "
                        "it opens nothing",
                        name, plan.grid.dx));
    }
    canopy.put(night);
    add_fans(surface.obstacles.fans, plan.grid, night);
    return night;
}

std::string surface_text(const SiteSurface& surface, const Ground& ground, PeopleUnits units) {
    std::string text;
    for (const Obstacle& obstacle : surface.obstacles.standing) text += obstacle_text(obstacle, units);
    for (const Fan& fan : surface.obstacles.fans) {
        text += fmt::format("{} (fan): {:.4g} kW over a radius of {}.\n", fan.name, fan.heat_w / 1000,
                            people_text(fan.radius_m, PeopleQuantity::height, units));
    }
    for (const Passage& passage : surface.obstacles.passages) {
        text += fmt::format("{} (through the DEM's bank): {} wide, {} high.\n", passage.name,
                            people_text(passage.width_m, PeopleQuantity::height, units),
                            people_text(passage.height_m, PeopleQuantity::height, units));
    }
    if (!surface.cover) return text;
    const std::vector<double> areas = class_areas(*surface.cover, ground);
    for (std::size_t k = 0; k < areas.size(); ++k) {
        if (!(areas[k] > 0)) continue;
        const CoverClass& c = surface.cover->classes[k];
        text += fmt::format("Land cover {}: {}, {}.\n", c.name,
                            people_text(areas[k], PeopleQuantity::area, units), class_text(c));
    }
    return text;
}

void record_surface(const SiteSurface& surface, const Ground& ground, PartRecord& record) {
    record.figures.push_back({"obstacles", static_cast<double>(surface.obstacles.standing.size()), {}});
    record.figures.push_back({"passages", static_cast<double>(surface.obstacles.passages.size()), {}});
    record.figures.push_back({"fans", static_cast<double>(surface.obstacles.fans.size()), {}});
    if (!surface.cover) return;
    const std::vector<double> areas = class_areas(*surface.cover, ground);
    for (std::size_t k = 0; k < areas.size(); ++k) {
        if (!(areas[k] > 0)) continue;
        const CoverClass& c = surface.cover->classes[k];
        record.words.emplace_back(fmt::format("cover_{}", c.name),
                                  fmt::format("{:.0f} m2, {} ({})", areas[k], class_text(c), c.source));
    }
}

}  // namespace lielow
