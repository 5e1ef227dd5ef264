// SPDX-License-Identifier: Apache-2.0
// The siting as the report shows it, read from the summary: where it wasn't run, nothing of it is there.
#pragma once

#include <nlohmann/json_fwd.hpp>
#include <string>

#include "io/people_units.hpp"

namespace lielow {

/// The field's siting in a sentence; empty without one.
std::string siting_sentence(const nlohmann::ordered_json& field);

std::string siting_words_html(const nlohmann::ordered_json& summary);

/// The fields by their rank with their areas of each class.
std::string siting_table_html(const nlohmann::ordered_json& summary, PeopleUnits units);

/// What the crop asks, with its sources.
std::string siting_asks_html(const nlohmann::ordered_json& summary);

}  // namespace lielow
