// SPDX-License-Identifier: Apache-2.0
#include "tools/look_style.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

#include "tools/report_layers.hpp"

namespace lielow {
namespace {

constexpr int wanted_classes = 7;
constexpr double hair = 1e-6;  // of a class: less is rounding
constexpr double infinite = std::numeric_limits<double>::infinity();

struct Range {
    double from;
    double to;
};

/// The parts of a class that the look draws, in the raster's unit.
std::vector<Range> drawn_parts(const Look& look, const Range& of) {
    const double gap = look.least_drawn_si();
    std::vector<Range> drawn{{-infinite, infinite}};
    if (look.drawn == Drawn::from_zero) drawn = {{gap, infinite}};
    if (look.drawn == Drawn::both_ways) drawn = {{-infinite, -gap}, {gap, infinite}};
    std::vector<Range> parts;
    for (const Range& d : drawn) {
        const Range part{std::max(of.from, d.from), std::min(of.to, d.to)};
        if (part.to - part.from > hair * (of.to - of.from)) parts.push_back(part);
    }
    return parts;
}

/// What a class is called; `shown` are its ends as people read them, ±infinity where it is open.
std::string class_label(const Look& look, const Range& shown, std::string_view unit) {
    if (look.direction) {
        constexpr std::array<const char*, 16> names{"N", "NNE", "NE", "ENE", "E", "ESE", "SE", "SSE",
                                                    "S", "SSW", "SW", "WSW", "W", "WNW", "NW", "NNW"};
        const auto name = [&](double degrees) {
            return names.at(static_cast<std::size_t>(std::lround(degrees / 22.5)) % names.size());
        };
        return fmt::format("{} to {}", name(shown.from), name(shown.to));
    }
    const std::string after = unit.empty() ? "" : fmt::format(" {}", unit);
    if (std::isinf(shown.from) && std::isinf(shown.to)) return "any";
    if (std::isinf(shown.from)) return fmt::format("under {}{}", limit_text(shown.to), after);
    if (std::isinf(shown.to)) return fmt::format("over {}{}", limit_text(shown.from), after);
    return fmt::format("{} to {}{}", limit_text(shown.from), limit_text(shown.to), after);
}

/// An end of a class as its label tells it: its limit, or to two digits where what isn't drawn cuts it (0 if
/// that is hardly anything).
double told_end(double shown, double limit, double width) {
    if (std::abs(shown - limit) <= hair * width) return limit;
    if (std::abs(shown) < width / 10) return 0;
    const double unit = std::pow(10.0, std::floor(std::log10(std::abs(shown))) - 1);
    return std::round(shown / unit) * unit;
}

}  // namespace

RasterStyle raster_style(const Look& look, double least, double greatest, PeopleUnits units) {
    const bool celsius = look.quantity == PeopleQuantity::temperature;
    const ReportUnit unit = look.quantity ? report_unit(*look.quantity, units, celsius) : ReportUnit{};
    std::vector<double> limits = look.limits(units);
    if (limits.empty()) limits = round_limits(unit.shown(least), unit.shown(greatest), wanted_classes);
    const std::size_t count = limits.size() - 1;
    const std::vector<Colour> colours = class_colours(look.ramp.value(), count);
    const auto stored = [&](double shown) { return shown * unit.size_si + unit.zero_si; };
    RasterStyle style{look.title, {}, false};
    for (std::size_t n = 0; n < count; ++n) {
        Range of{stored(limits[n]), stored(limits[n + 1])};
        const bool open_below = n == 0 && least < of.from;
        const bool open_above = n + 1 == count && greatest > of.to;
        if (open_below) of.from = least;
        if (open_above) of.to = greatest;
        const double width = limits[n + 1] - limits[n];
        for (const Range& part : drawn_parts(look, of)) {
            const Range shown{
                open_below && part.from == of.from ? -infinite
                                                   : told_end(unit.shown(part.from), limits[n], width),
                open_above && part.to == of.to ? infinite
                                               : told_end(unit.shown(part.to), limits[n + 1], width)};
            style.classes.push_back({part.from, part.to, colours[n], class_label(look, shown, unit.name)});
        }
    }
    return style;
}

RasterStyle raster_style(const std::string& title, std::span<const RasterClass> classes) {
    RasterStyle style{title, {}, true};
    for (const RasterClass& c : classes) {
        const auto value = static_cast<double>(c.value);
        style.classes.push_back({value, value, c.colour, c.name});
    }
    return style;
}

}  // namespace lielow
