// SPDX-License-Identifier: Apache-2.0
// Drainage winds. Layer models' speed and depth are read from the balance of heat (IdealNight::layer_speed).
#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

#include "tests/nights/ideal_night.hpp"
#include "tests/nights/published_night.hpp"

namespace lielow::nights {
namespace {

constexpr double no_limit = std::numeric_limits<double>::infinity();
constexpr double cell = 20;

double radians(double degrees) {
    return degrees * std::numbers::pi / 180;
}

/// From a ridge at x = 0 down an even slope, at whose foot the air falls into a pit that swallows it: what is
/// read on the slope must not drown in a pool that the publication doesn't have.
IdealNight slope_night(double degrees, double length, double across, const NightSetup& setup) {
    constexpr double pit_depth = 300, pit_slope = 0.2, pit_length = 3500;
    const double fall = std::tan(radians(degrees));
    return strip_night(
        [=](double x) {
            return -fall * std::min(x, length) - std::clamp(pit_slope * (x - length), 0.0, pit_depth);
        },
        length + pit_length, across, setup);
}

// A slope of 1200 m, three hours after sunset: flow long since set up.
constexpr double settled = 3;
IdealNight evening_slope(double degrees, NightSetup setup) {
    setup.duration_s = settled * 3600;
    return slope_night(degrees, 1200, cell, setup);
}

NightSetup with_loss(NightSetup setup, double w_m2) {
    setup.loss_rule = LossRule::constant;
    setup.heat_loss_w_m2 = w_m2;
    return setup;
}

// The worked slope: 30 W/m² at 278 K.
NightSetup worked(NightSetup setup) {
    setup.evening_air_k = 278;
    return with_loss(setup, 30);
}

// A valley side of 1.58° some 10 km long (from memory), middle of a night of 10 h.
constexpr double lake_degrees = 1.58;
constexpr double lake_place = 8000;
IdealNight lake_slope(NightSetup setup) {
    setup.duration_s = 5 * 3600;
    return slope_night(lake_degrees, 10000, 100, setup);
}

/// Prandtl's profile (1942): the jet is 4 × 0.3224 of the mean that the deficit weighs.
constexpr double jet_over_mean = 4 * 0.322397;

// The side of a valley in central Pennsylvania, as in pools.cpp: half a cosine over 3 km, 160 m high.
constexpr double side_length = 3000;
IdealNight gentle_slope(const NightSetup& setup) {
    return strip_night([](double x) { return 80 * (1 + std::cos(std::numbers::pi * x / side_length)); },
                       side_length, 2 * cell, setup);
}
double late_share(const NightSetup& setup, double x) {
    const IdealNight night = gentle_slope(setup);
    double most = 0;
    for (double hours = 1; hours <= night.end_hours(); hours += 0.25)
        most = std::max(most, night.lowest_wind(x, 0, hours));
    return night.lowest_wind(x, 0, night.end_hours()) / most;
}

std::vector<PublishedValue> layers() {
    const std::string briggs =
        "Briggs 1979 and Ellison & Turner 1959 with a cooling slope (formulas from memory)";
    const std::string depths =
        "as before, and Horst & Doran 1986, Boundary-Layer Meteorol. 34:263–286 (from memory)";
    return {
        {"SpeedAt300mOf2Degrees", "slope of 2°, 300 m down, 30 W/m²: mean speed of the layer", briggs,
         "0.64 and 0.79", "m/s", 0.643 / 1.5, 0.788 * 1.5,
         [](const NightSetup& s) { return evening_slope(2, worked(s)).layer_speed(300, settled); }, ""},
        {"SpeedAt300mOf5Degrees", "slope of 5°, 300 m down, 30 W/m²: mean speed of the layer", briggs,
         "0.79 and 0.90", "m/s", 0.788 / 1.5, 0.901 * 1.5,
         [](const NightSetup& s) { return evening_slope(5, worked(s)).layer_speed(300, settled); }, ""},
        {"DepthAt300mOf2Degrees", "slope of 2°, 300 m down, 30 W/m²: depth of the layer", depths,
         "1.19, 1.84 and 0.05 of the drop = 0.52", "m", 0.52 / 1.5, 1.84 * 1.5,
         [](const NightSetup& s) { return evening_slope(2, worked(s)).layer_depth(300, 0, settled); },
         "depth comes from the constant K and the time the air has been under way, not from the taking up of "
         "air by the flow; thick where the flow is slow"},
        {"DepthAt300mOf5Degrees", "slope of 5°, 300 m down, 30 W/m²: depth of the layer", depths,
         "2.18, 3.82 and 0.05 of the drop = 1.31", "m", 1.31 / 1.5, 3.82 * 1.5,
         [](const NightSetup& s) { return evening_slope(5, worked(s)).layer_depth(300, 0, settled); }, ""},
        {"DeficitAt300mOf5Degrees", "slope of 5°, 300 m down, 30 W/m²: mean deficit of the layer", briggs,
         "2.06 and 2.38", "K", 2.06 / 1.5, 2.38 * 1.5,
         [](const NightSetup& s) {
             const IdealNight night = evening_slope(5, worked(s));
             return night.missing(300, 0, settled) / night.layer_depth(300, 0, settled);
         },
         ""},
        {"DepthGrowsDownTheSlope", "slope of 5°, 30 W/m²: depth 900 m down over depth 300 m down", briggs,
         "3 (depth in proportion to the way)", "", 2, 4.5,
         [](const NightSetup& s) {
             const IdealNight night = evening_slope(5, worked(s));
             return night.layer_depth(900, 0, settled) / night.layer_depth(300, 0, settled);
         },
         "depth comes from the constant K; taking up of air (Ellison & Turner 1959, Turner 1986) would make "
         "it grow with the way"},
    };
}

std::vector<PublishedValue> winds() {
    const std::string storrs = "corn and forest canopies on a hillside at Storrs, Connecticut (abstract)";
    const std::string lake = "VTMX 2000, 10th Conference on Mountain Meteorology, AMS";
    const std::string gentle =
        "Mahrt, Seaman, Richardson & Stauffer, 14th Conference on Mountain Meteorology, AMS";
    return {
        {"WindOnASmallSlope", "slope of 5°, 300 m down: wind of the lowest air", storrs,
         "0.4 to 1 on small vegetated slopes", "m/s", 0.4, 1.0,
         [](const NightSetup& s) { return evening_slope(5, s).lowest_wind(300, 0, settled); }, ""},
        {"LongSlopeJet",
         "slope of 1.58°, 8 km down, 5 h: fastest air (mean of the layer × 1.29, Prandtl's profile)", lake,
         "5 to 6; a length of 10 km is from memory", "m/s", 5, 6,
         [](const NightSetup& s) { return jet_over_mean * lake_slope(s).layer_speed(lake_place, 5); },
         "no taking up of air, so the layer stays shallow and the ground's drag holds it; Cd 0.005 gives 2.8 "
         "m/s. The site's ambient wind is unknown"},
        {"LongSlopeDepth", "the same: height of the top isotherm", lake, "to 100", "m", 50, 100,
         [](const NightSetup& s) { return lake_slope(s).top(lake_place, 0, 5); },
         "no taking up of air: K alone deepens the layer"},
        {"LongSlopeDeficit", "the same: colder at 1.5 m than at 25 m", lake, "to 7", "K", 3.5, 7,
         [](const NightSetup& s) {
             const IdealNight night = lake_slope(s);
             return night.deficit(lake_place, 0, 1.5, 5) - night.deficit(lake_place, 0, 25, 5);
         },
         ""},
        {"BottomStationFallsSilent",
         "side of a valley 6 km wide, 160 m deep: wind at its foot at dawn over its strongest", gentle,
         "drainage at the start alone, then a pool; below 0.5 is ours", "", 0, 0.5,
         [](const NightSetup& s) { return late_share(s, 2500); }, ""},
        {"TopStationDrainsAllNight", "the same: in its upper half", gentle,
         "drains all night; above 0.5 is ours", "", 0.5, 1,
         [](const NightSetup& s) { return late_share(s, 1000); }, ""},
    };
}

}  // namespace

std::vector<PublishedValue> slope_values() {
    std::vector<PublishedValue> values = layers();
    for (PublishedValue& value : winds()) values.push_back(std::move(value));
    return values;
}

}  // namespace lielow::nights
