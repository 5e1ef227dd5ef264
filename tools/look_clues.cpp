// SPDX-License-Identifier: Apache-2.0
#include "tools/look_clues.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <memory>

#include "io/crop_needs.hpp"
#include "sim/siting.hpp"
#include "sim/soil_facts.hpp"
#include "sim/test_spots.hpp"
#include "tools/kept_layers.hpp"
#include "tools/staged_classes.hpp"

namespace lielow {
namespace {

using enum PeopleQuantity;
using Cells = std::vector<std::uint32_t>;

constexpr float nearly_all = 0.999F;
constexpr double border_reach_m = 10;  // beside a border
constexpr double slope_reach_m = 10;   // of the picture's lows
constexpr double told_over_m = 30.48;  // so far apart the change is told: 100 ft

// What a clue weighs at most beside the others: what the runs or two sources disagree on goes before what one
// picture shows. Choices of this program.
constexpr float by_runs = 1;
constexpr float by_siting_border = 0.9F;
constexpr float by_cold_border = 0.7F;
constexpr float by_spread = 0.6F;  // it may differ much where the class is settled all the same
constexpr float by_steepness = 0.6F;
constexpr float by_wetness = 0.6F;
constexpr float by_ignorance = 0.3F;

/// Siting with the reason of every cell.
struct SitingMaps {
    Field<std::uint8_t> siting;
    Field<std::uint8_t> reason;
};

std::shared_ptr<const SitingMaps> siting_maps(const SiteRun& run) {
    auto siting = staged_classes(run, "siting");
    auto reason = staged_classes(run, "siting_reason");
    if (!siting || !reason) return nullptr;
    return std::make_shared<SitingMaps>(SitingMaps{std::move(*siting), std::move(*reason)});
}

Field<float> times(Field<float> weight, float factor) {
    for (float& w : weight.all()) w *= factor;
    return weight;
}

std::string_view class_name(std::uint8_t siting) {
    return siting < siting_classes ? siting_class_names.at(siting) : "no ground";
}

bool decided_by(const SitingMaps& maps, std::size_t cell, const FactorSet& factors) {
    const std::uint8_t reason = maps.reason[cell];
    return reason > no_reason && reason <= siting_factors && factors[reason - 1U];
}

/// Known classes by severity; what isn't known comes first.
int severity(std::uint8_t siting) {
    return siting < static_cast<std::uint8_t>(SitingClass::unknown) ? siting : -1;
}

/// Where the class changes by one of these factors.
Clue siting_border(const Grid& grid, std::shared_ptr<const SitingMaps> maps, const FactorSet& factors,
                   std::string_view to_do) {
    const auto counts = [&](std::size_t a, std::size_t b) {
        const std::size_t worse = severity(maps->siting[a]) >= severity(maps->siting[b]) ? a : b;
        const std::size_t milder = worse == a ? b : a;
        const bool only_not_here = severity(maps->siting[milder]) < 0;
        if (only_not_here && maps->siting[worse] != static_cast<std::uint8_t>(SitingClass::not_here))
            return false;
        return decided_by(*maps, worse, factors);
    };
    Clue clue;
    clue.weight = times(border_nearness(grid, maps->siting, border_reach_m, counts), by_siting_border);
    clue.words = [maps, to_do = std::string(to_do)](std::size_t cell) {
        return fmt::format("the class of the ground changes here ({} at the spot itself): {}",
                           class_name(maps->siting[cell]), to_do);
    };
    return clue;
}

/// Where the night turns clearly colder than the reference spot.
Clue cold_border(const SiteRun& run, const Field<float>& offset) {
    Field<std::uint8_t> colder(offset.rows(), offset.cols());
    for (std::size_t c = 0; c < offset.size(); ++c)
        colder[c] = std::isnan(offset[c]) ? 255 : offset[c] < static_cast<float>(-clearly_colder_k) ? 1 : 0;
    Clue clue;
    clue.weight = times(border_nearness(run.dem.ground.grid, colder, border_reach_m,
                                        [](std::size_t, std::size_t) { return true; }),
                        by_cold_border);
    clue.words = [units = run.site.units](std::size_t) {
        return fmt::format(
            "the ground turns more than {} colder than the reference spot here: a thermometer tells whether "
            "that border lies where it is pictured",
            people_text(clearly_colder_k, temperature_difference, units));
    };
    return clue;
}

Clue steep_cold(const SiteRun& run, const Cells& candidates, const Field<float>& offset) {
    auto slope =
        std::make_shared<const Field<float>>(ground_slope(run.dem.ground.grid, offset, slope_reach_m));
    Clue clue;
    clue.weight = times(scaled_to_greatest(candidates, *slope), by_steepness);
    clue.words = [slope, units = run.site.units](std::size_t cell) {
        return fmt::format(
            "the pictured low changes by {} within {} here, so a small error of the picture tells",
            people_text(told_over_m * static_cast<double>((*slope)[cell]), temperature_difference, units),
            people_text(told_over_m, height, units));
    };
    return clue;
}

Clue runs_spread(const SiteRun& run, const Cells& candidates, const Field<float>& spread) {
    Clue clue;
    clue.weight = times(scaled_to_greatest(candidates, spread), by_spread);
    clue.words = [&spread, units = run.site.units](std::size_t cell) {
        return fmt::format(
            "the runs of the ensemble differ much here: the low against the reference spot by "
            "{} up or down (one standard deviation)",
            people_text(static_cast<double>(spread[cell]), temperature_difference, units));
    };
    return clue;
}

/// Weighs most where half of the runs say not here for that reason.
Clue runs_split(Field<float> share, std::string_view because) {
    auto kept = std::make_shared<const Field<float>>(std::move(share));
    Clue clue;
    clue.weight = kept->clone();
    for (float& w : clue.weight.all()) w = by_runs * (1 - std::abs(2 * w - 1));
    clue.words = [kept, because = std::string(because)](std::size_t cell) {
        return fmt::format("{:.0f} % of the ensemble's runs say not here because of {}, the others don't",
                           100 * static_cast<double>((*kept)[cell]), because);
    };
    return clue;
}

/// Runs that say not here for other reasons than frost.
Field<float> not_here_otherwise(const Field<float>& not_here, const Field<float>& by_frost) {
    Field<float> share = not_here.clone();
    for (std::size_t c = 0; c < share.size(); ++c) share[c] -= by_frost[c];
    return share;
}

/// Where the survey's drainage class and the terrain say different things of how wet the ground is, as far as
/// no test in the field has settled it.
Clue survey_gap(std::shared_ptr<const Field<float>> wetness_rank, const SoilFacts& survey) {
    const Field<std::uint8_t>& drainage = survey.drainage_class;
    Clue clue;
    clue.weight = times(survey_against_terrain(drainage, *wetness_rank), by_runs);
    if (!survey.test_weight.empty()) {
        for (std::size_t c = 0; c < drainage.size(); ++c) clue.weight[c] *= 1 - survey.test_weight[c];
    }
    clue.words = [wetness_rank, &drainage](std::size_t cell) {
        return fmt::format(
            "the soil survey says {}, yet by its terrain the ground is {} of the fields' ground",
            drainage_class_name(drainage[cell]), terrain_words(static_cast<double>((*wetness_rank)[cell])));
    };
    return clue;
}

/// The wetter half of the ground.
Clue wet_ground(std::shared_ptr<const Field<float>> wetness_rank) {
    Clue clue;
    clue.weight = wetness_rank->clone();
    for (float& w : clue.weight.all()) w = by_wetness * std::max(0.0F, 2 * w - 1);
    clue.words = [wetness_rank](std::size_t cell) {
        return fmt::format("water gathers here: by its terrain {} of the fields' ground",
                           terrain_words(static_cast<double>((*wetness_rank)[cell])));
    };
    return clue;
}

Clue unknown_soil(std::shared_ptr<const SitingMaps> maps) {
    Clue clue;
    clue.weight = Field<float>(maps->siting.rows(), maps->siting.cols(), 0.0F);
    for (std::size_t c = 0; c < maps->siting.size(); ++c) {
        if (maps->siting[c] == static_cast<std::uint8_t>(SitingClass::unknown)) clue.weight[c] = by_ignorance;
    }
    clue.words = [maps](std::size_t cell) {
        const std::uint8_t reason = maps->reason[cell];
        const bool named = reason > no_reason && reason <= siting_factors;
        return fmt::format("nothing is known of the {} here, and the class of the ground waits for it",
                           named ? siting_factor_names.at(reason - 1U) : "soil");
    };
    return clue;
}

FactorSet factor_set(std::initializer_list<SitingFactor> factors) {
    FactorSet set;
    for (const SitingFactor factor : factors) set.set(static_cast<std::size_t>(factor));
    return set;
}

/// Water that stays behind, as the siting takes it: of a storm run through its hours only what lies below a
/// hollow's spill level; without a storm the hollow itself.
double standing_m(const Field<float>* storm, bool ran_through, const Field<float>* hollow, std::size_t cell) {
    const auto value = [cell](const Field<float>* layer) {
        return layer == nullptr || std::isnan((*layer)[cell]) ? 0.0 : static_cast<double>((*layer)[cell]);
    };
    if (storm == nullptr) return value(hollow);
    return ran_through && hollow != nullptr ? std::min(value(storm), value(hollow)) : value(storm);
}

void mark_obstacles(const SiteRun& run, Field<std::uint8_t>& marked) {
    for (const Obstacle& obstacle : run.obstacles.standing) {
        for (const ObstacleArea& area : obstacle.areas) {
            for (const std::uint32_t cell : area.where.cells) marked[cell] = 1;
        }
        for (const ObstacleLine& line : obstacle.lines) {
            for (const ChainLink& link : line_cells(line.points, run.dem.ground.grid))
                marked(link.row, link.col) = 1;
        }
    }
}

}  // namespace

std::string terrain_words(double rank) {
    return fmt::format("{} than {:.0f} %", rank < 0.5 ? "drier" : "wetter",
                       std::min(99.0, 100 * std::max(rank, 1 - rank)));
}

void prepare_look(SiteRun& run) {
    const bool chosen = std::find(run.chosen.begin(), run.chosen.end(), "look") != run.chosen.end();
    if (!chosen || run.site.look.thermometers + run.site.look.auger_holes == 0) return;
    for (const char* name : {"night_offset", "night_offset_spread", "not_here_share", "wetness_index",
                             "hollow_depth", "storm_depth", "storm_hours"})
        run.keep.emplace(name);
    run.keep.emplace(not_here_by_frost_layer);
}

std::vector<std::uint32_t> reachable_cells(const SiteRun& run) {
    const Grid& grid = run.dem.ground.grid;
    Field<std::uint8_t> barred(grid.rows, grid.cols, 0);
    mark_obstacles(run, barred);
    const Field<float>* storm = find_layer(run, "storm_depth");
    const Field<float>* hollow = find_layer(run, "hollow_depth");
    const bool ran_through = find_layer(run, "storm_hours") != nullptr;
    Cells cells;
    for (const FarmField& field : run.fields) {
        for (std::size_t i = 0; i < field.cells.size(); ++i) {
            const std::uint32_t cell = field.cells[i];
            const bool dry = standing_m(storm, ran_through, hollow, cell) < run.site.water.ponded_from_m;
            if (field.share[i] >= nearly_all && run.dem.ground.known[cell] != 0 && barred[cell] == 0 && dry)
                cells.push_back(cell);
        }
    }
    std::sort(cells.begin(), cells.end());
    cells.erase(std::unique(cells.begin(), cells.end()), cells.end());
    return cells;
}

std::vector<Clue> thermometer_clues(const SiteRun& run, const Cells& candidates) {
    std::vector<Clue> clues;
    const Field<float>* offset = find_layer(run, "night_offset");
    if (offset == nullptr) return clues;
    if (const Field<float>* by_frost = find_layer(run, not_here_by_frost_layer))
        clues.push_back(runs_split(by_frost->clone(), "frost"));
    if (const Field<float>* spread = find_layer(run, "night_offset_spread"))
        clues.push_back(runs_spread(run, candidates, *spread));
    if (auto maps = siting_maps(run))
        clues.push_back(siting_border(run.dem.ground.grid, maps, factor_set({SitingFactor::frost}),
                                      "the frost decides, and a spring's lows settle where the border lies"));
    clues.push_back(cold_border(run, *offset));
    clues.push_back(steep_cold(run, candidates, *offset));
    return clues;
}

std::vector<Clue> auger_clues(const SiteRun& run, const Cells& candidates) {
    using enum SitingFactor;
    const FactorSet in_the_ground =
        factor_set({standing_water, days_wet, soil_wetness, flooding, soil_depth, soil_ph, hard_soil});
    std::vector<Clue> clues;
    const Field<float>* not_here = find_layer(run, "not_here_share");
    const Field<float>* by_frost = find_layer(run, not_here_by_frost_layer);
    if (not_here != nullptr && by_frost != nullptr)
        clues.push_back(runs_split(not_here_otherwise(*not_here, *by_frost), "water or soil"));
    if (auto maps = siting_maps(run)) {
        clues.push_back(siting_border(
            run.dem.ground.grid, maps, in_the_ground,
            "water or soil decides, and a hole left open in spring settles where the border lies"));
        clues.push_back(unknown_soil(maps));
    }
    if (const Field<float>* wetness = find_layer(run, "wetness_index")) {
        auto rank =
            std::make_shared<const Field<float>>(rank_among(run.dem.ground.grid, candidates, *wetness));
        clues.push_back(wet_ground(rank));
        if (!run.soil.by_survey.drainage_class.empty()) clues.push_back(survey_gap(rank, run.soil.by_survey));
    }
    return clues;
}

}  // namespace lielow
