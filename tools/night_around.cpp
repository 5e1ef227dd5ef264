// SPDX-License-Identifier: Apache-2.0
#include "tools/night_around.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <functional>
#include <limits>
#include <utility>

#include "io/people_units.hpp"
#include "sim/edge_choice.hpp"
#include "sim/night_nest.hpp"
#include "tools/archive_night.hpp"
#include "tools/read_ground.hpp"
#include "tools/stop.hpp"

namespace lielow {
namespace {

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

/// For a look at the coldest temperatures alone.
NightSetup with_edges(NightSetup setup, EdgeKind edges) {
    setup.edges = edges;
    setup.sample_interval_s = setup.duration_s;
    return setup;
}

const char* edges_name(NightEdges edges) {
    switch (edges) {
        case NightEdges::open:
            return "open";
        case NightEdges::wall:
            return "walls";
        case NightEdges::far_field:
            break;
    }
    return "far field";
}

void record_around(const SiteRun& run, const Around& around, const NestedNight& nested, PartRecord& record) {
    const auto add = [&record](const char* name, double value) {
        record.figures.push_back({name, value, {}});
    };
    record.words.emplace_back(
        "around", fmt::format("{}, solved on cells of {:.4g} m; beyond its edges: {}",
                              run.site.ground.around->filename().string(), nested.around.plan.grid.dx,
                              edges_name(run.site.night.edges)));
    add("around_cell_width_m", nested.around.plan.grid.dx);
    add("around_cell_height_m", nested.around.plan.grid.dy);
    add("around_reach_west_m", around.west_m);
    add("around_reach_east_m", around.east_m);
    add("around_reach_north_m", around.north_m);
    add("around_reach_south_m", around.south_m);
    add("around_lift_m", around.lift_m);
    add("around_steps", static_cast<double>(nested.around.steps));
    add("around_residual_share", nested.around.heat_residual());
    add("around_ladder_full_share", nested.around.ladder_full_share);
}

/// A field whose temperatures hang on what lies beyond the ground's edges.
struct Swayed {
    std::string name;
    double by_k;
};

const char* beyond_words(NightEdges edges) {
    switch (edges) {
        case NightEdges::open:
            return "lower land that takes all cold air";
        case NightEdges::wall:
            return "walls that let no cold air go";
        case NightEdges::far_field:
            break;
    }
    return "level land that cools alike";
}

void caution_swayed(SiteRun& run, const std::vector<Swayed>& fields, double apart_k) {
    if (fields.empty()) return;
    const auto text = [&run](double k) {
        return people_text(k, PeopleQuantity::temperature_difference, run.site.units);
    };
    constexpr std::size_t named = 3;
    std::vector<std::string> first;
    for (std::size_t i = 0; i < std::min(named, fields.size()); ++i)
        first.push_back(fmt::format("{} ({})", fields[i].name, text(fields[i].by_k)));
    const NightEdges own = run.site.night.edges;
    run.summary.cautions.push_back(fmt::format(
        "The ground ends too near for the night's temperatures: they hang on what lies beyond its edges, "
        "taken "
        "to be {}; were it {}, the coldest air would differ by more than {} in these fields: {}{}. What sets "
        "one field apart from another would change by up to {}: trust the order of the fields rather than "
        "the "
        "temperatures. {}.",
        beyond_words(own), beyond_words(own == NightEdges::open ? NightEdges::far_field : NightEdges::open),
        text(clearly_colder_k), fmt::join(first, ", "), fields.size() > named ? ", and others" : "",
        text(apart_k),
        run.site.ground.around ? "Take a larger ground.around"
                               : "Take a larger DEM, or name a coarser one under ground.around"));
}

void tell_of_edges(SiteRun& run, const Grid& cells, const FlowWatch& watch, const EdgeLook& look) {
    std::vector<Swayed> swayed;
    double least = std::numeric_limits<double>::infinity();
    double most = 0;
    for (std::size_t f = 0; f < run.fields.size(); ++f) {
        const double sway = mean_over(look.difference, look.grid, watch.borders()[f].field(), cells,
                                      look.east_m, look.south_m);
        run.summary.fields[f].figures.push_back(
            {"edge_choice_k", sway,
             "By how much other edges of the ground would change the coldest air at plant height, K"});
        least = std::min(least, sway);
        most = std::max(most, sway);
        if (sway > clearly_colder_k) swayed.push_back({run.fields[f].name, sway});
    }
    caution_swayed(run, swayed, most - least);
}

/// What is done with the farm's night at every hour.
using AtHour = std::function<void(const NightResult& so_far)>;

NightResult alone(SiteRun& run, const NightSetup& setup, const NightPlan& plan, const NightSurface& surface,
                  FlowWatch& watch, const AtHour& at_hour) {
    const Ground& ground = run.dem.ground;
    const NightPlan coarse = plan_coarse(ground, setup, plan, coarse_work * plan.expected_work);
    Turns turns(run, plan.expected_work + 2 * coarse.expected_work);
    const auto keeper = run.resume->keeper("night");
    NightResult night = run_night(ground, setup, plan, &surface, turns.next(plan.expected_work),
                                  {.observer = &watch, .at_hour = at_hour, .keeper = keeper.get()});
    const NightSurface standing = coarse_surface(surface, setup.ground_drag, plan, coarse, 0, 0);
    const auto look = [&](EdgeKind edges) {
        return run_night(ground, with_edges(setup, edges), coarse, &standing,
                         turns.next(coarse.expected_work));
    };
    const NightResult own = look(setup.edges);
    const NightResult other = look(other_edges(setup.edges));
    tell_of_edges(run, plan.grid, watch, {coldest_difference(own, other, setup.plant_height_m), coarse.grid});
    return night;
}

NightWithEdges nested(SiteRun& run, const Around& around, const NightSetup& setup, const NightPlan& plan,
                      const NightSurface& surface, int sky_directions, FlowWatch& watch,
                      const AtHour& at_hour, PartRecord& record) {
    const Surround& surround = around.surround;
    const double east = surround.east_m();
    const double south = surround.south_m();
    const NightAround outer =
        night_around(surround, setup, plan, run.dem.ground.grid, surface, sky_directions);
    FlowWatch outer_watch(outer.plan, run.site.night.flow_height_m, {});
    Turns turns(run, plan.expected_work + 2 * outer.plan.expected_work);
    const auto keeper = run.resume->keeper("night");
    const auto outer_keeper = run.resume->keeper("outer-night");
    NestedNight both =
        run_nested_night(run.dem.ground, surround, setup, plan, outer,
                         {.surface = &surface,
                          .progress = turns.next(plan.expected_work + outer.plan.expected_work),
                          .farm = &watch,
                          .around = &outer_watch,
                          .farm_at_hour = at_hour,
                          .farm_keeper = keeper.get(),
                          .around_keeper = outer_keeper.get()});
    const NightResult other = run_night(surround.ground, with_edges(outer.setup, other_edges(setup.edges)),
                                        outer.plan, &outer.surface, turns.next(outer.plan.expected_work));
    record_around(run, around, both, record);
    tell_of_edges(
        run, plan.grid, watch,
        {coldest_difference(both.around, other, setup.plant_height_m), outer.plan.grid, east, south});
    return {std::move(both.farm), WiderFlow{outer_watch.mean(), east, south}};
}

}  // namespace

NightWithEdges night_with_edges(SiteRun& run, const NightSetup& setup, const NightPlan& plan,
                                const NightSurface& surface, const NightSpan& span, int sky_directions,
                                FlowWatch& watch, PartRecord& record) {
    const AtHour at_hour = [&](const NightResult& so_far) {
        archive_hours_so_far(run, so_far, setup, watch, span.sunset_s);
    };
    const auto around = read_site_around(run.site, run.dem, plan.blocks, run.summary.notes);
    if (!around) return {alone(run, setup, plan, surface, watch, at_hour), std::nullopt};
    return nested(run, *around, setup, plan, surface, sky_directions, watch, at_hour, record);
}

NightResult farm_night(const Ground& ground, const Around* around, const NightSetup& setup,
                       const NightPlan& plan, const NightSurface& surface, int sky_directions,
                       const NightProgress& progress) {
    if (around == nullptr) return run_night(ground, setup, plan, &surface, progress);
    const NightAround outer =
        night_around(around->surround, setup, plan, ground.grid, surface, sky_directions);
    return run_nested_night(ground, around->surround, setup, plan, outer,
                            {.surface = &surface, .progress = progress})
        .farm;
}

}  // namespace lielow
