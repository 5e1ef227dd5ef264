// SPDX-License-Identifier: Apache-2.0
// What makes a place worth a thermometer or an auger hole, from the layers of a run.
#pragma once

#include <functional>
#include <string>
#include <vector>

#include "tools/site_run.hpp"

namespace lielow {

/// One reason to look, with its weight on the grid, 0..1, and in words for a cell: a sentence's end.
struct Clue {
    Field<float> weight;
    std::function<std::string(std::size_t cell)> words;
};

/// What the ensemble keeps for the clues without a raster of its own: share of its runs in which the ground
/// is not for the crop because of frost.
inline constexpr std::string_view not_here_by_frost_layer = "not_here_by_frost_share";

/// How wet a place lies by its rank among the ground, 0 driest to 1 wettest: "wetter than 80 %", or "drier
/// than 80 %" of it.
std::string terrain_words(double rank);

/// Asks finish_raster to keep the layers that clues are taken from, where spots shall be proposed.
void prepare_look(SiteRun& run);

/// Cells in which a spot may lie, ascending: wholly inside a field, on known ground, neither under the
/// storm's water (without a storm in a closed hollow) as deep as water.ponded_from nor in an obstacle.
std::vector<std::uint32_t> reachable_cells(const SiteRun& run);

std::vector<Clue> thermometer_clues(const SiteRun& run, const std::vector<std::uint32_t>& candidates);
std::vector<Clue> auger_clues(const SiteRun& run, const std::vector<std::uint32_t>& candidates);

}  // namespace lielow
