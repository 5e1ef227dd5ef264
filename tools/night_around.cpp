// SPDX-License-Identifier: Apache-2.0
#include "tools/night_around.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <utility>

#include "sim/edge_choice.hpp"
#include "sim/night_nest.hpp"
#include "sim/night_origin.hpp"
#include "tools/read_ground.hpp"
#include "tools/stop.hpp"

namespace lielow {
namespace {

/// A field is warned of when more than this share of its lowest air came in over the edge, or when other
/// edges change it by more than clearly_colder_k.
constexpr double much_air = 0.25;
constexpr std::size_t places_of_a_field = 400;
constexpr double coarse_work = 1.0 / 12;  ///< of the night's, for a look at other edges

/// Nights one after the other that share the stage's progress by their work.
class Turns {
  public:
    Turns(SiteRun& run, double whole) : run_(run), whole_(whole) {}
    NightProgress next(double work) {
        const double from = done_ / whole_;
        done_ += work;
        return [this, from, part = work / whole_](double share) {
            run_.progress.at(from + part * share);
            return !stop_requested();
        };
    }

  private:
    SiteRun& run_;
    double whole_;
    double done_ = 0;
};

/// What the widest night, the one that meets the unknown, says of the edges.
struct EdgeLook {
    Field<float> difference;  ///< K, on the cells of `grid`
    Grid grid;
    double east_m = 0;  ///< from its first corner to the farm's
    double south_m = 0;
};

NightSetup with_edges(NightSetup setup, EdgeKind edges) {
    setup.edges = edges;
    return setup;
}

std::vector<NightPlace> places_of(const FarmField& field, const Grid& fine, const Blocks& blocks) {
    std::vector<NightPlace> places;
    const std::size_t picked = std::min(places_of_a_field, field.cells.size());
    for (std::size_t n = 0; n < picked; ++n) {
        const std::uint32_t cell = field.cells[n * field.cells.size() / picked];
        const auto cols = static_cast<std::uint32_t>(fine.cols);
        places.push_back({(cell / cols + 0.5) / blocks.rows, (cell % cols + 0.5) / blocks.cols});
    }
    return places;
}

void record_around(const Around& around, const NestedNight& nested, PartRecord& record) {
    record.figures.push_back({"around_cell_width_m", nested.around.plan.grid.dx, {}});
    record.figures.push_back({"around_cell_height_m", nested.around.plan.grid.dy, {}});
    record.figures.push_back({"around_reach_west_m", around.west_m, {}});
    record.figures.push_back({"around_reach_east_m", around.east_m, {}});
    record.figures.push_back({"around_reach_north_m", around.north_m, {}});
    record.figures.push_back({"around_reach_south_m", around.south_m, {}});
    record.figures.push_back({"around_lift_m", around.lift_m, {}});
    record.figures.push_back({"around_steps", static_cast<double>(nested.around.steps), {}});
    record.figures.push_back({"around_residual_share", nested.around.heat_residual(), {}});
}

void warn(SiteRun& run, const std::vector<std::string>& fields, const std::string& what) {
    if (fields.empty()) return;
    constexpr std::size_t named = 3;
    const std::vector<std::string> first(
        fields.begin(), fields.begin() + static_cast<std::ptrdiff_t>(std::min(named, fields.size())));
    const char* remedy = run.site.ground.around
                             ? "Take a larger ground.around"
                             : "Take a larger DEM, or name a coarser one under ground.around";
    run.summary.cautions.push_back(fmt::format("{}: {}{}. {}.", what, fmt::join(first, ", "),
                                               fields.size() > named ? ", and others" : "", remedy));
}

void tell_of_edges(SiteRun& run, const NightResult& night, const WiderNight& wider, const EdgeLook& look) {
    std::vector<std::string> airy;
    std::vector<std::string> swayed;
    for (std::size_t f = 0; f < run.fields.size(); ++f) {
        const auto places = places_of(run.fields[f], run.dem.ground.grid, night.plan.blocks);
        const double share = share_from_edges(night, places, wider);
        const double sway =
            mean_at(look.difference, look.grid, places, night.plan.grid, look.east_m, look.south_m);
        auto& figures = run.summary.fields[f].figures;
        figures.push_back(
            {"air_from_edge_share", share,
             "Share of the field's lowest air that had come in over the edge of the ground since sunset"});
        figures.push_back(
            {"edge_choice_k", sway,
             "By how much other edges of the ground would change the coldest air at plant height, K"});
        const std::string& name = run.fields[f].name;
        if (share > much_air) airy.push_back(fmt::format("{} ({:.0f} %)", name, 100 * share));
        if (sway > clearly_colder_k) swayed.push_back(fmt::format("{} ({:.1f} K)", name, sway));
    }
    warn(run, airy,
         fmt::format(
             "More than {:.0f} % of the lowest air had come in over the edge of the ground, from where "
             "nothing is known, in these fields",
             100 * much_air));
    warn(run, swayed,
         "The ground ends too near for the night's temperatures: other edges would change them by more than "
         "2 degF "
         "in these fields");
}

NightResult alone(SiteRun& run, const NightSetup& setup, const NightPlan& plan, const NightCanopy* canopy) {
    const Ground& ground = run.dem.ground;
    const NightPlan coarse = plan_coarse(ground, setup, plan, coarse_work);
    Turns turns(run, plan.expected_work + 2 * coarse.expected_work);
    NightCanopy coarse_trees;
    if (canopy != nullptr) coarse_trees = coarse_canopy(*canopy, plan, coarse, 0, 0);
    NightResult night = run_night(ground, setup, plan, canopy, turns.next(plan.expected_work));
    const auto look = [&](EdgeKind edges) {
        return run_night(ground, with_edges(setup, edges), coarse,
                         canopy != nullptr ? &coarse_trees : nullptr, turns.next(coarse.expected_work));
    };
    const NightResult own = look(setup.edges);
    const NightResult other = look(other_edges(setup.edges));
    tell_of_edges(run, night, {}, {coldest_difference(own, other, setup.plant_height_m), coarse.grid});
    return night;
}

NightResult nested(SiteRun& run, const Around& around, const NightSetup& setup, const NightPlan& plan,
                   const NightCanopy* canopy, PartRecord& record) {
    const Surround& surround = around.surround;
    const NightPlan coarse = plan_coarse(surround.ground, setup, plan);
    Turns turns(run, plan.expected_work + 2 * coarse.expected_work);
    NestedNight both = run_nested_night(run.dem.ground, surround, setup, plan, coarse, canopy,
                                        turns.next(plan.expected_work + coarse.expected_work));
    NightCanopy trees;
    if (canopy != nullptr)
        trees = coarse_canopy(*canopy, plan, coarse, surround.east_m(), surround.south_m());
    const NightResult other =
        run_night(surround.ground, with_edges(setup, other_edges(setup.edges)), coarse,
                  canopy != nullptr ? &trees : nullptr, turns.next(coarse.expected_work));
    record_around(around, both, record);
    tell_of_edges(run, both.farm, {&both.around, surround.east_m(), surround.south_m()},
                  {coldest_difference(both.around, other, setup.plant_height_m), coarse.grid,
                   surround.east_m(), surround.south_m()});
    return std::move(both.farm);
}

}  // namespace

NightResult night_with_edges(SiteRun& run, const NightSetup& setup, const NightPlan& plan,
                             const NightCanopy* canopy, PartRecord& record) {
    const auto around = read_site_around(run.site, run.dem, plan.blocks, run.summary.notes);
    return around ? nested(run, *around, setup, plan, canopy, record) : alone(run, setup, plan, canopy);
}

}  // namespace lielow
