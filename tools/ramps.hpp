// SPDX-License-Identifier: Apache-2.0
// Colour ramps of tools/looks.toml.
#pragma once

#include <cstddef>
#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "io/colour.hpp"

namespace lielow {

enum class RampKind : std::uint8_t {
    sequential,  ///< from light to dark or back, without a turn
    diverging,   ///< dark at both ends, pale between
    cyclic,      ///< ends where it begins
};

struct Ramp {
    std::string name;
    RampKind kind = RampKind::sequential;
    std::vector<Colour> stops;  ///< evenly spaced; colours run straight between them
};

/// Throws InputError when looks.toml has no such ramp or has it wrong.
Ramp find_ramp(std::string_view name);

/// The same from its other end.
Ramp reversed(Ramp ramp);

/// Colour at `share` of the way, 0..1.
Colour colour_at(const Ramp& ramp, double share);

/// CIE 1976 lightness L*, 0 (black) to 100, of an sRGB colour (IEC 61966-2-1, CIE 15).
double lightness(const Colour& colour);

/// `count` colours: of a sequential ramp in even steps of lightness from end to end, so that neighbouring
/// classes differ alike; of a diverging one in even steps along it; of a cyclic one the middles of even
/// parts. One alone is the middle.
std::vector<Colour> class_colours(const Ramp& ramp, std::size_t count);

}  // namespace lielow
