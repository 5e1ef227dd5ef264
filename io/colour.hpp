// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <cstdint>

namespace lielow {

using Colour = std::array<std::uint8_t, 3>;  ///< red, green, blue, sRGB

}  // namespace lielow
