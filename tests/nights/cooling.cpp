// SPDX-License-Identifier: Apache-2.0
// Level open ground: how fast and how strongly the air near it cools.
#include <limits>

#include "tests/nights/ideal_night.hpp"
#include "tests/nights/published_night.hpp"

namespace lielow::nights {
namespace {

constexpr double shelter = 1.5;  // m
constexpr double foot = 0.3048;

IdealNight level_night(const NightSetup& setup) {
    return strip_night([](double) { return 0.0; }, 80, 20, setup);
}

/// Warmer at `upper` m than at `lower` m, at dawn, K.
double dawn_difference(const NightSetup& setup, double lower, double upper) {
    const IdealNight night = level_night(setup);
    const double end = night.end_hours();
    return night.temperature(30, 0, upper, end) - night.temperature(30, 0, lower, end);
}

double drop_after_two_hours(const NightSetup& setup) {
    const IdealNight night = level_night(setup);
    return night.deficit(30, 0, shelter, night.end_hours()) - night.deficit(30, 0, shelter, 2);
}

double halfway_share(const NightSetup& setup) {
    const IdealNight night = level_night(setup);
    const double end = night.end_hours();
    const auto drop = [&](double hours) { return night.deficit(30, 0, shelter, hours); };
    return (drop(0.5 * (2 + end)) - drop(2)) / (drop(end) - drop(2));
}

/// Readings are means over an hour; a mean of √t over the hour before t is within 1 % of √(t − ½ h).
double root_of_time(const NightSetup& setup) {
    const IdealNight night = level_night(setup);
    return night.deficit(30, 0, shelter, 8.5) / night.deficit(30, 0, shelter, 2.5);
}

}  // namespace

std::vector<PublishedValue> cooling_values() {
    const std::string handbook = "Snyder & de Melo-Abreu 2005, FAO Env. Nat. Res. Series 10, ch. 5";
    return {
        {"DropOfARadiationNight", "level ground: drop at 1.5 m from 2 h after sunset to sunrise", handbook,
         "ten radiation nights of the worked example: 5.8 to 8.9", "K", 5.8, 8.9, drop_after_two_hours, ""},
        {"HalfwayThroughTheNight", "level ground: share of that drop at half time", handbook,
         "square-root trend from 2 h after sunset: √½ = 0.71; ±0.1 is ours", "", 0.607, 0.807, halfway_share,
         "constant loss from sunset on gives Brunt's root (next row), 0.59; a loss by radiation, which falls "
         "as the ground cools, gives 0.72"},
        {"SquareRootOfTime", "level ground: drop after 8 h over drop after 2 h",
         "Brunt 1932, Q. J. R. Meteorol. Soc. 58 (from memory)", "√t: 2; ±10 % is ours", "", 1.8, 2.2,
         root_of_time, ""},
        {"RaisedFruitWire", "level ground at dawn: warmer 3 ft higher up, from 3 ft to 6 ft",
         "Wines & Vines, news article 109106 (trade journal)",
         "1 to 2 °F for a wire raised by 3 ft; its heights are ours", "K", 1 / 1.8, 2 / 1.8,
         [](const NightSetup& s) { return dawn_difference(s, 3 * foot, 6 * foot); },
         "one K at all heights: no gradient exceeds q/K = 0.30 K/m; real K shrinks towards the ground"},
        {"SixInchesAndFourFeetSix", "level ground at dawn: 4 ft 6 in warmer than 6 in",
         "House of Vines 2010, a grower's published readings on three nights", "1.0, 2.4 and 2.6", "K", 1.0,
         2.6, [](const NightSetup& s) { return dawn_difference(s, 0.5 * foot, 4.5 * foot); },
         "one K at all heights: no gradient exceeds q/K = 0.30 K/m; real K shrinks towards the ground"},
        {"InversionUnderAWindMachine", "level ground at dawn: 40 ft warmer than 5 ft",
         "handbooks on wind machines (from memory)", "3 to 15 °F (from memory)", "K", 3 / 1.8, 15 / 1.8,
         [](const NightSetup& s) { return dawn_difference(s, 5 * foot, 40 * foot); }, ""},
        {"DepthOfTheInversion", "level ground at dawn: height where a tenth of the drop is left",
         "Stull 1988, An Introduction to Boundary Layer Meteorology (from memory)",
         "nocturnal boundary layer 100 to 300 (from memory); a tenth is ours", "m", 100, 300,
         [](const NightSetup& s) {
             const IdealNight night = level_night(s);
             const double end = night.end_hours();
             const double tenth = 0.1 * night.deficit(30, 0, shelter, end);
             double height = 0;
             while (night.deficit(30, 0, height, end) > tenth) height += 1;
             return height;
         },
         "one K at all heights: here it is too small, near the ground too large (rows before)"},
    };
}

}  // namespace lielow::nights
