// SPDX-License-Identifier: Apache-2.0
// Basins and valleys: how cold they get, how fast, how deep. Outlines are of the published width and depth;
// what the sources do not give is said in the entry.
#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

#include "tests/nights/ideal_night.hpp"
#include "tests/nights/published_night.hpp"

namespace lielow::nights {
namespace {

constexpr double shelter = 1.5;  // m
constexpr double no_limit = std::numeric_limits<double>::infinity();
constexpr double cell = 40;

/// From a ridge (x = 0) to the middle of the floor, half a cosine.
IdealNight valley_night(double half_width, double relief, const NightSetup& setup) {
    return strip_night(
        [=](double x) { return 0.5 * relief * (1 + std::cos(std::numbers::pi * x / half_width)); },
        half_width, cell, setup);
}

/// Colder on the floor than on the ridge, K.
double ridge_less_floor(const IdealNight& night, double half_width, double hours) {
    return night.temperature(1, 0, shelter, hours) - night.temperature(half_width - 1, 0, shelter, hours);
}

double warmest(const IdealNight& night, double hours) {
    double most = -no_limit;
    for (int i = 0; i < night.cols(); ++i)
        most = std::max(most, night.temperature(night.x_of(i), 0, shelter, hours));
    return most;
}

/// Slope of the regression of temperature on elevation, K per 100 m.
double warming_with_height(const IdealNight& night, double hours) {
    double n = 0, z = 0, t = 0, zz = 0, zt = 0;
    for (int i = 0; i < night.cols(); ++i) {
        const double here = night.ground(night.x_of(i), 0);
        const double warm = night.temperature(night.x_of(i), 0, shelter, hours);
        n += 1, z += here, t += warm, zz += here * here, zt += here * warm;
    }
    return 100 * (n * zt - z * t) / (n * zz - z * z);
}

// A broad valley of central Pennsylvania: 10 K at 6.2 K per 100 m are 160 m; 6 km wide is from memory.
constexpr double broad_half = 3000;
IdealNight broad_valley(const NightSetup& setup) {
    return valley_night(broad_half, 160, setup);
}

// Clun valley: 170 m deep; 2 km wide is from memory.
constexpr double clun_half = 1000;
IdealNight clun_valley(const NightSetup& setup) {
    return valley_night(clun_half, 170, setup);
}

/// A hill of 120 m with a round top over a plain, its slope 15 %: Pomona gives heights alone.
double pomona_hill(double x) {
    const double rise = std::clamp((x - 1200) / 800, 0.0, 1.0);
    return 120 * std::sin(0.5 * std::numbers::pi * rise);
}
IdealNight pomona(const NightSetup& setup) {
    return strip_night(pomona_hill, 2000, cell, setup);
}

double pomona_difference(const NightSetup& setup) {
    const IdealNight night = pomona(setup);
    double x = 1200;
    while (pomona_hill(x) < 68.6) x += 1;
    return night.temperature(x, 0, shelter, night.end_hours()) -
           night.temperature(1, 0, shelter, night.end_hours());
}

double round_basin(double x, double y, double centre, double radius, double depth) {
    const double r = std::hypot(x - centre, y - centre) / radius;
    return r < 1 ? -0.5 * depth * (1 + std::cos(std::numbers::pi * r)) : 0.0;
}

/// The orchard's basin, 500 m wide and 5 m deep, in a plain.
double orchard_difference(const NightSetup& setup) {
    const IdealNight night([](double x, double y) { return round_basin(x, y, 500, 250, 5); }, 25, 25, cell,
                           setup);
    const double end = night.end_hours();
    return night.temperature(500 + 260, 500, shelter, end) - night.temperature(500, 500, shelter, end);
}

/// A sinkhole 1 km wide and 150 m deep; a gap 200 m wide lets the air out 50 m above its floor, into a valley
/// that falls by 5 %.
double sinkhole(double x, double y) {
    const double basin = round_basin(x, y, 700, 500, 150);
    const double gap = -100 - std::max(0.0, 0.05 * (x - 1200));
    return x > 700 && std::abs(y - 700) < 100 ? std::min(basin, gap) : basin;
}
IdealNight sinkhole_night(const NightSetup& given) {
    NightSetup setup = given;
    setup.edges = EdgeKind::open;  // plateau and outflow lie too far apart in height for one far field
    return {sinkhole, 35, 40, cell, setup};
}

double sinkhole_inversion(const NightSetup& setup) {
    const IdealNight night = sinkhole_night(setup);
    const double end = night.end_hours();
    double most = -no_limit;
    for (double height = shelter; height < 150; height += 5)
        most = std::max(most, night.temperature(700, 700, height, end));
    return most - night.temperature(700, 700, shelter, end);
}

double sinkhole_inversion_top(const NightSetup& setup) {
    const IdealNight night = sinkhole_night(setup);
    const double end = night.end_hours();
    double top = shelter;
    for (double height = shelter; height < 300; height += 5) {
        if (night.temperature(700, 700, height, end) > night.temperature(700, 700, top, end)) top = height;
    }
    return top;
}

/// Two closed hollows of one shape, 400 m wide and 20 m deep: one in a plain, one at the bottom of a funnel
/// that falls by 3 % and drains towards it from all sides. Difference of their drops at dawn, relative.
double large_catchment_excess(const NightSetup& setup) {
    const auto hollow = [](double x, double y) { return round_basin(x, y, 700, 200, 20); };
    const auto funnel = [=](double x, double y) {
        return hollow(x, y) + 0.03 * std::max(0.0, std::hypot(x - 700, y - 700) - 200);
    };
    const IdealNight small(hollow, 35, 35, cell, setup);
    const IdealNight large(funnel, 35, 35, cell, setup);
    const double end = small.end_hours();
    return large.deficit(700, 700, shelter, end) / small.deficit(700, 700, shelter, end) - 1;
}

/// Gentle ground that falls by 1 %, with a bank of 6 m across it or without, and a pit at its foot that
/// swallows the air: the air above the bank, at its foot.
double colder_behind_bank(const NightSetup& setup) {
    const auto fall = [](double x) {
        return -0.01 * std::min(x, 3000.0) - std::clamp(0.2 * (x - 3000), 0.0, 300.0);
    };
    const auto bank = [=](double x) { return fall(x) + (x > 1500 && x < 1540 ? 6.0 : 0.0); };
    const IdealNight open = strip_night(fall, 7000, cell / 2, setup);
    const IdealNight held = strip_night(bank, 7000, cell / 2, setup);
    const double end = open.end_hours();
    return held.deficit(1490, 0, shelter, end) - open.deficit(1490, 0, shelter, end);
}

double fastest_cooling(const NightSetup& setup) {
    const IdealNight night = clun_valley(setup);
    double most = 0;
    for (double hours = 2; hours <= night.end_hours(); hours += 0.5) {
        const double rate =
            night.deficit(clun_half - 1, 0, 2, hours) - night.deficit(clun_half - 1, 0, 2, hours - 1);
        most = std::max(most, rate);
    }
    return most;
}

double share_after_two_hours(const NightSetup& setup) {
    const IdealNight night = clun_valley(setup);
    return ridge_less_floor(night, clun_half, 2) / ridge_less_floor(night, clun_half, night.end_hours());
}

std::vector<PublishedValue> basins() {
    const std::string sinkholes = "Whiteman et al. 2004, J. Appl. Meteorol. 43:1224–1236";
    return {
        {"OrchardBasin", "closed basin 500 m wide, 5 m deep: colder in the middle than at the rim, at dawn",
         "Skok et al. 2015, Agric. For. Meteorol. 203:17–29", "up to 5, a few metres deep", "K", 2.5, 5,
         orchard_difference,
         "one K at all heights: a pool's contrast is at most q/K times its depth, 0.30 K/m × 5 m = 1.5 K"},
        {"SinkholeInversion", "sinkhole 1 km wide, 150 m deep, closed in its lowest 50 m: inversion at dawn",
         sinkholes, "13", "K", 13 / 1.5, 13 * 1.5, sinkhole_inversion, ""},
        {"SinkholeInversionTop", "the same: height of the inversion's top above the floor", sinkholes, "120",
         "m", 120 / 1.5, 120 * 1.5, sinkhole_inversion_top, ""},
        {"CatchmentHardlyMatters", "closed hollow with ten times the catchment: colder by, of its drop",
         sinkholes, "minima alike for very different drainage areas; ±10 % is ours", "", -0.1, 0.1,
         large_catchment_excess,
         "all that drains in sinks to the floor and nothing answers it; a loss by radiation, less where it "
         "is cold, gives 0.08"},
        {"BehindARailwayBank",
         "bank of 6 m across ground that falls by 1 %: colder at its foot than without it",
         "Quénol & Beltrando 2008, Meteorol. Appl. 15:389–398 (authors and pages from memory)",
         "more than 2; height and slope are ours, such that the pool covers the published 100 ha", "K", 2,
         no_limit, colder_behind_bank,
         "one K at all heights, 0.30 K/m within the pool; a loss by radiation, stronger early on, gives 2.2; "
         "the re-routed valley wind of the source isn't there"},
    };
}

std::vector<PublishedValue> valleys() {
    const std::string broad = "Hočevar & Martsolf 1971, Agric. Meteorol. 8:371–383";
    const std::string clun = "Jemmett-Smith 2014, thesis, University of Leeds";
    const std::string young = "Young, Monthly Weather Review (year about 1921, from memory)";
    return {
        {"BroadValleyGradient", "valley 6 km wide, 160 m deep: warmer with height at dawn, per 100 m", broad,
         "6.2; the width is from memory", "K", 6.2 / 1.5, 6.2 * 1.5,
         [](const NightSetup& s) { return warming_with_height(broad_valley(s), s.duration_s / 3600); }, ""},
        {"BroadValleyRange", "the same: warmest place less coldest at dawn", broad, "often 10", "K", 10 / 1.5,
         15,
         [](const NightSetup& s) {
             const IdealNight night = broad_valley(s);
             return warmest(night, night.end_hours()) -
                    night.temperature(broad_half - 1, 0, shelter, night.end_hours());
         },
         ""},
        {"ClunValley", "valley 170 m deep: floor colder than ridge at dawn", clun,
         "over 4 on the strongest 12 % of nights, gradient up to 0.1 K/m; 2 km wide is from memory", "K", 4,
         17,
         [](const NightSetup& s) { return ridge_less_floor(clun_valley(s), clun_half, s.duration_s / 3600); },
         ""},
        {"FastestCooling", "the same: fastest cooling of the floor after the first hour, 2 m, per hour",
         "Persson 1997, Theor. Appl. Climatol. 56:215–224", "up to 3.8 as cold air arrives", "K", 1.9, 3.8,
         fastest_cooling, ""},
        {"DifferencesComeEarly", "the same: share of the difference at dawn that is there after 2 h",
         "Gustavsson et al. 1998, J. Appl. Meteorol. 37:559–571",
         "large very soon after sunset, growing later; 0.5 to 1 is ours", "", 0.5, 1, share_after_two_hours,
         "under constant loss differences grow all night; a loss by radiation gives 0.77. Sheltered ground "
         "that cools in place is left out"},
        {"HillOverAPlain", "hill, slope 15 %: 68.6 m (225 ft) up warmer than the plain at dawn", young,
         "up to 15.6 (28 °F)", "K", 7.8, 15.6, pomona_difference, ""},
        {"HilltopBelowTheWarmBelt", "the same hill, 120 m: warmest slope less hilltop at dawn", young,
         "hilltop colder on every hill; 0.1 K and more is ours", "K", 0.1, no_limit,
         [](const NightSetup& s) {
             const IdealNight night = pomona(s);
             return warmest(night, night.end_hours()) -
                    night.temperature(1999, 0, shelter, night.end_hours());
         },
         "the layer takes up no air from above, so its deficit grows down the slope and the top stays "
         "warmest"},
    };
}

}  // namespace

std::vector<PublishedValue> pool_values() {
    std::vector<PublishedValue> values = basins();
    for (PublishedValue& value : valleys()) values.push_back(std::move(value));
    return values;
}

}  // namespace lielow::nights
