// SPDX-License-Identifier: Apache-2.0
// SI figures in the units people read, for tables and reports. Files for machines stay SI.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>

namespace lielow {

enum class PeopleUnits : std::uint8_t { us, si };

enum class PeopleQuantity : std::uint8_t {
    height,                  ///< of ground, water or air: from m; ft or m
    small_depth,             ///< of rain: from m; in or mm
    area,                    ///< from m²; acres or ha
    volume,                  ///< from m³; acre-ft or m³
    temperature,             ///< from K; °F or °C
    temperature_difference,  ///< from K; °F or °C, without the scale's zero point
    share,                   ///< from 0..1; %
    hours,                   ///< h, as they are
    years,                   ///< as they are
    speed,                   ///< of air: from m/s; mph or m/s
    days,                    ///< as they are
    discharge,               ///< of water: from m³/s; ft³/s or m³/s
};

/// The unit's name as people write it: "ft", "acres", "°F".
std::string_view people_unit(PeopleQuantity quantity, PeopleUnits units);

/// The figure in that unit. NaN stays NaN.
double to_people(double si, PeopleQuantity quantity, PeopleUnits units);

/// The figure rounded as people read it, without the unit; "-" when it is NaN or infinite.
std::string people_number(double si, PeopleQuantity quantity, PeopleUnits units);

/// The same with the unit: "20.0 ft"; "-" when it isn't known.
std::string people_text(double si, PeopleQuantity quantity, PeopleUnits units);

}  // namespace lielow
