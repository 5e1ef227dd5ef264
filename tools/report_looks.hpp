// SPDX-License-Identifier: Apache-2.0
// How each raster is shown in the report: its title, its unit, its colours, its classes.
#pragma once

#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "io/page_bytes.hpp"
#include "io/people_units.hpp"

namespace lielow {

/// What a raster holds, and so how its numbers are told.
struct Look {
    std::string raster;                      ///< its name; "hours_below" stands for all of them
    std::string group;                       ///< the maps it is offered on, "night water"
    std::string title;                       ///< in the list of layers
    std::string label;                       ///< over the legend
    std::optional<PeopleQuantity> quantity;  ///< nullopt = told as it is, in `unit`
    std::string unit;
    std::string ramp;            ///< a colour scale's name
    bool from_zero = false;      ///< nothing is drawn where the value is nought
    double step_si = 0.01;       ///< to which its numbers are rounded in the page
    double least_si = 0;         ///< nor, with from_zero, where it is no greater than this
    bool by_factors = false;     ///< its numbers span many powers of ten; `step_si` is then of their log10
    std::vector<double> limits;  ///< of the classes, as people read them; empty = round ones that fit
};

/// Looks of all rasters the report may show, in the order of the lists.
std::span<const Look> report_looks();

/// The look of raster `name`, its title complete; nullopt where the report doesn't show it.
std::optional<Look> look_of(std::string_view name);

/// Limits of classes, round, some `wanted` of them, which cover least to greatest.
std::vector<double> round_limits(double least, double greatest, int wanted);

/// `count` colours along a scale, first to last, from the text of the bundled ramps.json.
std::vector<PaletteColour> ramp_colours(const std::string& ramp, std::size_t count);

}  // namespace lielow
