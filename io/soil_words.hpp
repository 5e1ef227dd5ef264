// SPDX-License-Identifier: Apache-2.0
// Words and codes of soil surveys, read.
#pragma once

#include <span>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "sim/soil_facts.hpp"

namespace lielow {

/// A survey's own word and what it stands for: {"MWD", "moderately well drained"}.
using SoilWords = std::vector<std::pair<std::string, std::string>>;

// Each reads a word whatever its case, through `own` words first; "" and what surveys write for nothing
// ("-", "null", "not rated", "no data") is unknown. Each throws InputError, without the place, for a word not
// known, with the nearest known one.

/// "Moderately well drained", "moderately well"; of Canada's surveys (from memory) "imperfectly drained",
/// "rapidly", "very rapidly" and the codes VR R W MW I P VP.
DrainageClass read_drainage_class(std::string_view text, const SoilWords& own);

/// "None", "Very rare", "Rare", "Occasional", "Frequent", "Very frequent".
WaterFrequency read_water_frequency(std::string_view text, const SoilWords& own);

/// "A" ... "D", "A/D", "B/D", "C/D".
HydrologicGroup read_hydrologic_group(std::string_view text, const SoilWords& own);

/// A texture in lower case; "" for unknown, and for ground that has none (bedrock, muck, peat, water).
std::string read_texture(std::string_view text, const SoilWords& own);

std::string_view frequency_name(WaterFrequency frequency);
std::string_view group_name(HydrologicGroup group);

}  // namespace lielow
