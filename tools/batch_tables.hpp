// SPDX-License-Identifier: Apache-2.0
// All farms of a batch side by side: a table, a layer, a page.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "io/people_units.hpp"
#include "tools/batch_figures.hpp"
#include "tools/batch_run.hpp"

namespace lielow {

/// One farm in the tables.
struct TableFarm {
    std::string name;
    std::string folder;
    FarmState state = FarmState::missing;
    std::string error;
    std::optional<FarmFacts> facts;  ///< of one that is done
};

/// "done", "failed", "not run", "outdated".
std::string state_word(FarmState state);

/// Reads the results of the farms that are done; one that can't be read counts as failed.
std::vector<TableFarm> table_farms(const BatchList& list, const std::vector<FarmOutcome>& outcomes,
                                   const std::filesystem::path& out);

/// Metres and Celsius only where every farm asks for them.
PeopleUnits units_of(const std::vector<TableFarm>& farms);

/// Writes farms.csv, farms.gpkg and index.html into `out`, and farms.parquet where this GDAL can; all of them
/// or none. The names of what was written. Throws RunError.
std::vector<std::string> write_batch_tables(const std::vector<TableFarm>& farms,
                                            const std::filesystem::path& out);

}  // namespace lielow
