// SPDX-License-Identifier: Apache-2.0
// Quantities as people write them, "20 ft" or "31 degF", to SI and nothing else.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>

namespace lielow {

enum class Dimension : std::uint8_t {
    length,                  ///< m
    area,                    ///< m²
    time,                    ///< s
    speed,                   ///< m/s
    angle,                   ///< rad
    temperature,             ///< K, with the zero point of its scale: 32 degF is 273.15
    temperature_difference,  ///< K, without it: 1.8 degF is 1
    irradiance,              ///< W/m²
    diffusivity,             ///< m²/s
    power,                   ///< W
    pressure,                ///< Pa
};

/// How messages and tables speak of a dimension.
struct DimensionWords {
    std::string_view name;          ///< with its article: "a length"
    std::string_view si_unit;       ///< as UDUNITS reads it
    std::string_view common_units;  ///< "ft, in, mi, m, cm, mm or km"
    std::string_view example;       ///< "\"20 ft\" or \"6 m\""
};
const DimensionWords& words_for(Dimension dimension);

/// One finite number and one unit, in SI. Units are those of UDUNITS-2, and before them what farms write: ft,
/// feet, inch, acre, mi, mph, F, °F and C for the temperature scales. An acre is 43,560 square feet of 0.3048
/// m. Throws InputError, in one line without the key's name, for no number, no unit, an unknown one, one of
/// another dimension, and NaN or infinity. Safe to call from several threads.
double parse_quantity(std::string_view text, Dimension dimension);

}  // namespace lielow
