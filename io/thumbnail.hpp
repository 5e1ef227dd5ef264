// SPDX-License-Identifier: Apache-2.0
// A raster as a small picture for an overview. Not a map: no scale and no legend of its own.
#pragma once

#include <array>
#include <cstdint>
#include <filesystem>
#include <string>
#include <utility>
#include <vector>

namespace lielow {

using Colour = std::array<std::uint8_t, 3>;  ///< red, green, blue

/// Dark blue over grey to yellow, `share` 0..1: rises evenly in lightness, so it is safe for colour-blind
/// readers and in grey. Runs straight between five colours of cividis (Nuñez, Anderton & Renslow 2018, PLoS
/// ONE 13:e0199239; their values from memory).
Colour ramp_colour(double share);

/// A PNG as a data URI (RFC 2397), for a page that holds its own pictures: no side longer than `side` pixels;
/// cells without a value are see-through. A raster with a colour table is drawn in it (nearest cell), any
/// other by ramp_colour from `low` to `high`. Throws RunError when the raster can't be read.
std::string thumbnail_uri(const std::filesystem::path& raster, int side, double low, double high);

/// Name and colour of each class of a raster of classes that has both; empty for any other.
std::vector<std::pair<std::string, Colour>> class_legend(const std::filesystem::path& raster);

}  // namespace lielow
