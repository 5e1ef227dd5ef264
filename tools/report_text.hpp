// SPDX-License-Identifier: Apache-2.0
// Blocks of the report's page as HTML: tables, sentences, lists.
#pragma once

#include <string>

#include "io/summary.hpp"
#include "tools/site_run.hpp"
#include "tools/text_table.hpp"

namespace lielow {

/// A table with a caption; empty for one without rows. `words`: its columns are texts.
std::string html_table(const std::string& caption, const TextTable& table, bool words = false);

const PartRecord* report_part(const Summary& summary, std::string_view name);
double part_figure(const PartRecord& part, std::string_view name);  ///< NaN without one
std::string part_word(const PartRecord& part, std::string_view name);

std::string night_words(const Summary& summary, PeopleUnits units);
std::string comes_from_html(const Summary& summary);
std::string spots_table_html(const Summary& summary, PeopleUnits units);
std::string water_words(const Summary& summary, PeopleUnits units);
std::string storm_words(const Summary& summary, PeopleUnits units);
std::string soil_words(const Summary& summary, PeopleUnits units);
std::string springs_words(const Summary& summary, PeopleUnits units);
/// Each field's share of damaging springs with its interval, as bars.
std::string springs_bars(const Summary& summary, PeopleUnits units);
std::string sure_html(const Summary& summary, PeopleUnits units);
/// How far the ensemble's runs agree on each field; only with part "sure".
std::string confidence_html(const Summary& summary, PeopleUnits units);
std::string inputs_table(const Summary& summary);
std::string settings_table(const Summary& summary);

}  // namespace lielow
