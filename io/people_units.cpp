// SPDX-License-Identifier: Apache-2.0
#include "io/people_units.hpp"

#include <fmt/format.h>

#include <array>
#include <cmath>

namespace lielow {
namespace {

constexpr double foot_m = 0.3048;
constexpr double inch_m = 0.0254;
constexpr double mile_per_hour_m_s = 5280 * foot_m / 3600;
constexpr double acre_m2 = 43560 * foot_m * foot_m;
constexpr double zero_celsius_k = 273.15;
constexpr double zero_fahrenheit_k = zero_celsius_k - 32.0 * 5.0 / 9.0;
constexpr double fahrenheit_k = 5.0 / 9.0;

struct PeopleUnit {
    std::string_view name;
    double size_si;  ///< one unit in SI
    double zero_si;  ///< its zero in SI
    int decimals;
};

const PeopleUnit& unit_of(PeopleQuantity quantity, PeopleUnits units) {
    static constexpr std::array<std::array<PeopleUnit, 2>, 12> table{{
        {{{"ft", foot_m, 0, 1}, {"m", 1, 0, 2}}},
        {{{"in", inch_m, 0, 2}, {"mm", 0.001, 0, 0}}},
        {{{"acres", acre_m2, 0, 2}, {"ha", 10000, 0, 2}}},
        {{{"acre-ft", acre_m2 * foot_m, 0, 2}, {"m³", 1, 0, 0}}},
        {{{"°F", fahrenheit_k, zero_fahrenheit_k, 1}, {"°C", 1, zero_celsius_k, 1}}},
        {{{"°F", fahrenheit_k, 0, 1}, {"°C", 1, 0, 1}}},
        {{{"%", 0.01, 0, 0}, {"%", 0.01, 0, 0}}},
        {{{"h", 1, 0, 1}, {"h", 1, 0, 1}}},
        {{{"years", 1, 0, 1}, {"years", 1, 0, 1}}},
        {{{"mph", mile_per_hour_m_s, 0, 1}, {"m/s", 1, 0, 2}}},
        {{{"days", 1, 0, 1}, {"days", 1, 0, 1}}},
        {{{"ft³/s", foot_m * foot_m * foot_m, 0, 1}, {"m³/s", 1, 0, 3}}},
    }};
    return table.at(static_cast<std::size_t>(quantity)).at(static_cast<std::size_t>(units));
}

}  // namespace

std::string_view people_unit(PeopleQuantity quantity, PeopleUnits units) {
    return unit_of(quantity, units).name;
}

double to_people(double si, PeopleQuantity quantity, PeopleUnits units) {
    const PeopleUnit& unit = unit_of(quantity, units);
    return (si - unit.zero_si) / unit.size_si;
}

std::string people_number(double si, PeopleQuantity quantity, PeopleUnits units) {
    if (!std::isfinite(si)) return "-";
    const double figure = to_people(si, quantity, units);
    const int decimals = unit_of(quantity, units).decimals;
    std::string text = fmt::format("{:.{}f}", figure, decimals);
    const bool rounds_to_nought = text.find_first_not_of("-0.") == std::string::npos;
    if (rounds_to_nought && text.front() == '-') text.erase(0, 1);
    return text;
}

std::string people_text(double si, PeopleQuantity quantity, PeopleUnits units) {
    std::string text = people_number(si, quantity, units);
    if (text != "-") text.append(" ").append(people_unit(quantity, units));
    return text;
}

}  // namespace lielow
