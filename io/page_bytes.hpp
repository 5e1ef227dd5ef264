// SPDX-License-Identifier: Apache-2.0
// Grids and pictures as texts that fit into a page: what a browser can unpack without help.
#pragma once

#include <array>
#include <cstdint>
#include <span>
#include <string>

#include "io/georef.hpp"
#include "sim/grid.hpp"

namespace lielow {

std::string base64(std::span<const std::uint8_t> bytes);

/// Whole numbers row by row, each as what it differs from the one before (modulo 2¹⁶), the low bytes of all
/// before the high bytes of all; deflated (RFC 1950) and in base64. Neighbours are alike, so this is short.
std::string packed_grid(const Field<std::int16_t>& numbers);
std::string packed_grid(const Field<std::uint8_t>& numbers);

struct PaletteColour {
    std::uint8_t red = 0, green = 0, blue = 0, alpha = 255;
};

/// A PNG of palette colours as a data: address.
std::string png_address(const Field<std::uint8_t>& colours, std::span<const PaletteColour> palette);

/// Shaded relief, 0 (dark) to 255, lit from several sides (GDAL's multidirectional hillshade); 0 where the
/// ground isn't known. Throws RunError when GDAL can't.
Field<std::uint8_t> hillshade(const Grid& grid, const Field<float>& z);

}  // namespace lielow
