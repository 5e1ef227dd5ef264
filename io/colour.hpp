// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <cstdint>
#include <string>

namespace lielow {

using Colour = std::array<std::uint8_t, 3>;  ///< red, green, blue, sRGB

/// "#1f2e3d", as CSS and SVG write it.
std::string hex_text(const Colour& colour);

}  // namespace lielow
