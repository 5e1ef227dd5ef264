// SPDX-License-Identifier: Apache-2.0
// How a raster is drawn in classes, for style files of a GIS.
#pragma once

#include <array>
#include <cstdint>
#include <string>
#include <vector>

namespace lielow {

struct StyleClass {
    double from = 0;
    double to = 0;
    std::array<std::uint8_t, 3> colour{};
    std::string label;
};  // in the raster's own (SI) units; label in the reader's units, e.g. "2 to 4 ft"

struct RasterStyle {
    std::string title;
    std::vector<StyleClass> classes;
    bool by_value = false;
};  // by_value: class raster, from == to == value. Cells in no class aren't drawn.

}  // namespace lielow
