// SPDX-License-Identifier: Apache-2.0
// The siting as the report shows it, read from the summary: where it wasn't run, nothing of it is there.
#pragma once

#include <cstddef>
#include <nlohmann/json_fwd.hpp>
#include <string>
#include <vector>

#include "io/people_units.hpp"

namespace lielow {

/// Numbers of the fields, best first; in their own order without a siting.
std::vector<std::size_t> fields_by_rank(const nlohmann::ordered_json& summary);

/// The first clause of the field's siting; empty without one.
std::string siting_lead(const nlohmann::ordered_json& field);

/// The rest of it in figures and, with an ensemble, how sure it is; empty without a siting.
std::string siting_rest(const nlohmann::ordered_json& field, PeopleUnits units);

/// Every field's siting, a line for each clause, its reasons below it.
std::string siting_reasons_html(const nlohmann::ordered_json& summary);

std::string siting_words_html(const nlohmann::ordered_json& summary);

/// The fields by their rank with their areas of each class.
std::string siting_table_html(const nlohmann::ordered_json& summary, PeopleUnits units);

/// What the crop asks, with its sources.
std::string siting_asks_html(const nlohmann::ordered_json& summary);

}  // namespace lielow
