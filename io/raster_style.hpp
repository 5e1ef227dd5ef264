// SPDX-License-Identifier: Apache-2.0
// How a GIS shall draw a raster: files of style that lie beside it.
#pragma once

#include <array>
#include <cstdint>
#include <filesystem>
#include <string>
#include <vector>

namespace lielow {

/// One class of a legend.
struct StyleClass {
    double from = 0;  ///< in the raster's own (SI) units
    double to = 0;    ///< likewise; a cell at `to` belongs to the next class
    std::array<std::uint8_t, 3> colour{};
    std::string label;  ///< as the legend shows it, in the reader's units
};

/// The legend of one raster. Cells in no class aren't drawn.
struct RasterStyle {
    std::string title;
    std::vector<StyleClass> classes;  ///< rising, each from the end of the one before
    bool by_value = false;            ///< a class raster: from == to == the class's value
};

}  // namespace lielow
