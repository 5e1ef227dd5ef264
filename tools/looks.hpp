// SPDX-License-Identifier: Apache-2.0
// How each raster is shown, by tools/looks.toml: its title, its unit, its colours, its classes.
#pragma once

#include <algorithm>
#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "io/colour.hpp"
#include "io/people_units.hpp"
#include "tools/ramps.hpp"

namespace lielow {

/// What is drawn of a raster's values.
enum class Drawn : std::uint8_t {
    all,
    from_zero,  ///< those above Look::least_drawn_si()
    both_ways,  ///< of a change: those further from nought than that
};

/// What a raster holds, and so how its numbers are told. SI: the raster's own unit, °C of a temperature.
struct Look {
    std::string raster;                      ///< its name; "hours_below" stands for all of them
    std::string title;                       ///< over a map and in lists
    std::string label;                       ///< over the legend
    std::string blank;                       ///< what ground without colour is; may be empty
    std::optional<PeopleQuantity> quantity;  ///< nullopt = told as it is
    bool classes = false;    ///< names and colours are in the raster itself; no ramp, no limits
    bool direction = false;  ///< degrees clockwise from the map's north
    std::optional<Ramp> ramp = {};
    std::vector<double> limits_us = {};  ///< of the classes, as people read them; empty = round ones that fit
    std::vector<double> limits_si = {};
    Drawn drawn = Drawn::all;
    double least_si = 0;      ///< the greatest value not drawn, if it isn't all
    double step_si = 0.01;    ///< to which its numbers are rounded in the report
    bool by_factors = false;  ///< its numbers span many powers of ten; `step_si` is then of their log10
    std::vector<std::string> groups = {};  ///< the report's maps it is offered on; none = not in the report

    [[nodiscard]] const std::vector<double>& limits(PeopleUnits units) const {
        return units == PeopleUnits::us ? limits_us : limits_si;
    }
    /// Where not all is drawn, what rounds to nought isn't either.
    [[nodiscard]] double least_drawn_si() const { return std::max(step_si / 2, least_si); }
};

/// All looks, in the order of the report's lists. Throws InputError, in one line, when looks.toml is wrong.
std::span<const Look> all_looks();

/// The look of raster `name`, its title complete ("hours_below_32_degf"); nullopt for a raster that has none.
std::optional<Look> look_of(std::string_view name);

/// Limits of classes, round, some `wanted` of them, which cover least to greatest.
std::vector<double> round_limits(double least, double greatest, int wanted);

/// A limit as legends tell it: "0.25", "−4".
std::string limit_text(double limit);

}  // namespace lielow
