// SPDX-License-Identifier: Apache-2.0
// What a farm's summary.json says, gathered over its fields for a table of many farms.
#pragma once

#include <filesystem>
#include <string>
#include <utility>
#include <vector>

#include "io/people_units.hpp"

namespace lielow {

/// A figure of many farms' table.
struct FarmFigure {
    std::string name;     ///< with its unit: "night_low_least_degc"
    std::string meaning;  ///< one sentence
    double value = 0;
};

struct FieldFacts {
    std::string name;
    double area_m2 = 0;
    std::string verdict;  ///< empty when siting wasn't run
    std::vector<FarmFigure> figures;
};

struct FarmFacts {
    std::string title;
    PeopleUnits units = PeopleUnits::us;
    std::vector<FieldFacts> fields;
    std::vector<FarmFigure> figures;

    [[nodiscard]] double area_m2() const;
    /// NaN when there is no such figure.
    [[nodiscard]] double figure(const std::string& name) const;
    /// The fields' verdicts, or, without them, how cold it gets and how much stands under water; one to a few
    /// sentences.
    [[nodiscard]] std::string in_short(PeopleUnits units) const;
};

/// Reads `folder`/summary.json. Throws RunError when it isn't what a run writes.
FarmFacts read_farm_facts(const std::filesystem::path& folder);

}  // namespace lielow
