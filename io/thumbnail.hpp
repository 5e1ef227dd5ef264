// SPDX-License-Identifier: Apache-2.0
// A raster as a small picture for an overview. Not a map: no scale and no legend of its own.
#pragma once

#include <filesystem>
#include <limits>
#include <string>
#include <utility>
#include <vector>

#include "io/colour.hpp"

namespace lielow {

/// How a raster without a colour table is drawn.
struct ThumbnailScale {
    std::vector<Colour> colours;  ///< from `low` to `high`, evenly
    double low = 0;
    double high = 0;
    double blank_to = -std::numeric_limits<double>::infinity();  ///< values no greater than this are grey
};
inline constexpr Colour kBlankColour{217, 217, 217};

/// A PNG as a data URI (RFC 2397), for a page that holds its own pictures: no side longer than `side` pixels;
/// cells without a value are see-through. A raster with a colour table is drawn in it (nearest cell), any
/// other by `scale`. Throws RunError when the raster can't be read.
std::string thumbnail_uri(const std::filesystem::path& raster, int side, const ThumbnailScale& scale);

/// Name and colour of each class of a raster of classes that has both; empty for any other.
std::vector<std::pair<std::string, Colour>> class_legend(const std::filesystem::path& raster);

}  // namespace lielow
