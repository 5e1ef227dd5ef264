// SPDX-License-Identifier: Apache-2.0
// A published flow case: set-up, exact or reference solution, norm and what a scheme must reach. The tests,
// the table in docs/verification.md and its figures all run the same cases.
#pragma once

#include <array>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "sim/stack_parameters.hpp"

namespace lielow::cases {

/// Schemes every case is run with.
inline constexpr std::array schemes{SchemeOrder::first, SchemeOrder::second};

constexpr const char* scheme_name(SchemeOrder order) {
    return order == SchemeOrder::first ? "first" : "second";
}

/// What the solver gave beside what it should have given, for a plot.
struct Profile {
    std::string axis;      ///< of x, with unit
    std::string quantity;  ///< of the others, with unit
    std::vector<double> x;
    std::vector<double> computed;
    std::vector<double> exact;
    std::vector<double> ground;  ///< drawn below them; may be empty
};

/// A figure besides the error; holds while |value| <= limit.
struct Check {
    std::string what;
    double value = 0;
    double limit = 0;
};

struct Outcome {
    double error = 0;  ///< in the case's norm
    std::vector<Check> checks;
    Profile profile;
};

/// What is asked of a scheme, set down before it was run.
struct Expected {
    double error = 0;  ///< at most, on the finest grid
    std::optional<double>
        order;  ///< at least, fitted over all grids; none where the error isn't one of the grid
    /// Why the scheme doesn't reach this yet, as measured; empty where it does. The test then leaves the case
    /// out with this reason, and fails once the scheme does reach it, so that the note goes.
    std::string open_defect{};
};

struct FlowCase {
    std::string name;   ///< letters, digits and underscores
    std::string title;  ///< for people
    std::string source;
    std::string norm;
    std::vector<int> cells;  ///< along x, coarse to fine
    Expected first;
    Expected second;
    std::function<Outcome(SchemeOrder, int cells)> run;

    [[nodiscard]] const Expected& expected(SchemeOrder order) const {
        return order == SchemeOrder::first ? first : second;
    }
};

using FlowCases = std::vector<FlowCase>;

/// Every case, in the order of the table.
const FlowCases& all_cases();

FlowCases bump_cases();
FlowCases dam_break_cases();
FlowCases heavy_front_cases();
FlowCases incline_cases();
FlowCases internal_wave_cases();
FlowCases macdonald_cases();
FlowCases obstacle_cases();
FlowCases rain_cases();
FlowCases thacker_cases();
FlowCases two_sheet_cases();

}  // namespace lielow::cases
