// SPDX-License-Identifier: Apache-2.0
#include "tools/report_looks.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>

#include "sim/errors.hpp"
#include "tools/report_bundle.hpp"

namespace lielow {
namespace {

using enum PeopleQuantity;

constexpr double film_m = 0.01;  // rain on its way over the ground, no pond
const std::vector<double> share_limits{0, 10, 25, 50, 75, 90, 100};
const std::vector<double> years_limits{1, 2, 3, 5, 10, 20, 50, 100};
const std::vector<double> table_limits{0, 0.25, 0.5, 1, 1.5, 2, 3, 4, 6, 8};
const std::vector<double> upslope_limits{0, 0.05, 0.2, 0.5, 1, 5, 20, 100};
const std::vector<double> above_way_limits{0, 1, 2, 5, 10, 20, 40, 80, 160};

Look look(const char* raster, const char* group, const char* title, const char* label,
          PeopleQuantity quantity, const char* ramp, double step, std::vector<double> limits = {}) {
    return {raster, group, title, label, quantity, "", ramp, false, step, 0, false, std::move(limits)};
}

/// Nothing is drawn where there is nothing.
Look from_zero(Look of, double least = 0) {
    of.from_zero = true;
    of.least_si = least;
    return of;
}

Look bare(Look of, const char* unit) {
    of.quantity.reset();
    of.unit = unit;
    return of;
}

Look by_factors(Look of) {
    of.by_factors = true;
    return of;
}

std::vector<Look> night_looks() {
    return {
        look("night_offset", "night", "Colder or warmer than the reference spot",
             "against the reference spot", temperature_difference, "cold", 0.02),
        look("night_low", "night", "Lowest air temperature", "lowest of the night, at plant height",
             temperature, "cold", 0.02),
        from_zero(look("hours_below", "night", "Hours below", "time below", hours, "warn", 0.05)),
        look("night_low_hour", "night", "When it is coldest", "hours after sunset", hours, "plain", 0.05),
        look("cold_depth", "night", "Depth of the cold air at sunrise", "depth of cold air", height, "deep",
             0.05),
        look("flow_speed", "night", "How fast the cold air moves", "speed near the ground", speed, "deep",
             0.005),
        from_zero(look("frost_hours", "night", "Hours in which flowers are at risk",
                       "time below the crop's critical temperature", hours, "warn", 0.05)),
        look("loss_share", "night springs", "Flowers killed that night", "share of the flowers", share,
             "warn", 0.002, share_limits),
        look("loss_years", "springs", "One damaging spring in so many years", "one damaging spring in", years,
             "rare", 0.1, years_limits),
        look("loss_years_low", "springs", "The same: as often as that it may be",
             "low end of 95 %, one spring in", years, "rare", 0.1, years_limits),
        look("loss_years_high", "springs", "The same: as rarely as that it may be",
             "high end of 95 %, one spring in", years, "rare", 0.1, years_limits),
    };
}

std::vector<Look> water_looks() {
    return {
        look("fill_stage", "stage", "Stage at which the ground goes under", "stage above the low point",
             height, "plain", 0.02),
        look("field_fill_stage", "stage", "The same from each field's own low point",
             "stage above the field's low point", height, "plain", 0.02),
        from_zero(
            look("storm_depth", "water", "Water of the storm", "depth of water", small_depth, "deep", 0.005),
            film_m),
        from_zero(look("storm_hours", "water", "Hours under more than an inch", "time under water", hours,
                       "warn", 0.05)),
        from_zero(look("storm_speed", "water", "Greatest speed of the storm's water", "speed of the water",
                       speed, "deep", 0.005)),
        from_zero(look("hollow_depth", "water", "Closed hollows", "depth below the spill level", height,
                       "deep", 0.01)),
        look("water_table_day1", "water soil", "Water table a day after the storm", "depth below the surface",
             height, "plain", 0.02, table_limits),
        look("water_table_day2", "water soil", "Water table 2 days after the storm",
             "depth below the surface", height, "plain", 0.02, table_limits),
        look("water_table_day7", "water soil", "Water table 7 days after the storm",
             "depth below the surface", height, "plain", 0.02, table_limits),
        from_zero(bare(look("drain_days", "water soil", "Days until the roots have air again",
                            "after the storm", hours, "warn", 0.02),
                       "days")),
        from_zero(bare(look("drain_days_with_pipes", "water soil", "The same with pipes in every field",
                            "after the storm", hours, "warn", 0.02),
                       "days")),
        bare(look("wetness_index", "water soil", "Where water gathers", "wetness index, ln(a / tan slope)",
                  hours, "deep", 0.02),
             ""),
        by_factors(look("drainage_way", "water", "Ground that drains through each place", "upslope area",
                        area, "deep", 0.002, upslope_limits)),
        look("height_above_way", "water", "Height above the drainage way", "height above the way", height,
             "plain", 0.02, above_way_limits),
    };
}

std::vector<Look> siting_looks() {
    return {
        bare(look("siting", "siting", "Where to plant", "fitness of the ground", hours, "plain", 1), ""),
        bare(look("siting_reason", "siting", "The reason", "what decides", hours, "plain", 1), ""),
    };
}

/// What an ensemble leaves.
std::vector<Look> sure_looks() {
    return {
        look("not_here_share", "sure", "In how many of the runs not for the crop", "of the runs", share,
             "warn", 0.002, share_limits),
        look("night_offset_spread", "sure", "How far the runs differ over the cold",
             "standard deviation between the runs", temperature_difference, "warn", 0.01),
    };
}

std::optional<Look> hours_below_look(std::string_view name, const Look& generic) {
    constexpr std::string_view stem = "hours_below_";
    if (!name.starts_with(stem)) return std::nullopt;
    std::string threshold(name.substr(stem.size()));
    const auto unit_at = threshold.rfind("_deg");
    if (unit_at == std::string::npos) return std::nullopt;
    std::string number = threshold.substr(0, unit_at);
    const std::string unit = threshold.ends_with("degf") ? "°F" : "°C";
    if (number.starts_with("minus_")) number.replace(0, 6, "−");
    std::replace(number.begin(), number.end(), '_', '.');
    Look look = generic;
    look.raster = name;
    look.title = fmt::format("Hours below {} {}", number, unit);
    look.label = fmt::format("time below {} {}", number, unit);
    return look;
}

}  // namespace

std::span<const Look> report_looks() {
    static const std::vector<Look> looks = [] {
        std::vector<Look> all = siting_looks();
        for (auto&& group : {night_looks(), water_looks(), sure_looks()})
            all.insert(all.end(), group.begin(), group.end());
        return all;
    }();
    return looks;
}

std::optional<Look> look_of(std::string_view name) {
    for (const Look& look : report_looks()) {
        if (look.raster == name) return look;
        if (look.raster == "hours_below") {
            if (auto complete = hours_below_look(name, look)) return complete;
        }
    }
    return std::nullopt;
}

std::vector<double> round_limits(double least, double greatest, int wanted) {
    if (!(greatest > least)) greatest = least + 1;
    const double rough = (greatest - least) / wanted;
    const double power = std::pow(10.0, std::floor(std::log10(rough)));
    constexpr double hardly_less = 0.75;  // a few classes more are better than half as many
    double step = 10 * power;
    for (const double nice : {5.0, 2.0, 1.0}) {
        if (nice * power >= hardly_less * rough) step = nice * power;
    }
    std::vector<double> limits;
    for (double n = std::floor(least / step); (n - 1) * step < greatest; ++n) limits.push_back(n * step);
    return limits;
}

std::vector<PaletteColour> ramp_colours(const std::string& ramp, std::size_t count) {
    static const nlohmann::json ramps = nlohmann::json::parse(report_bundle().ramps);
    const auto& all = ramps.at(ramp);
    std::vector<PaletteColour> colours;
    for (std::size_t n = 0; n < count; ++n) {
        const std::size_t at = count == 1 ? all.size() / 2 : n * (all.size() - 1) / (count - 1);
        colours.push_back({all[at][0], all[at][1], all[at][2], 255});
    }
    return colours;
}

}  // namespace lielow
