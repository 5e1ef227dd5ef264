// SPDX-License-Identifier: Apache-2.0
// How a GIS shall draw a raster: files of style that lie beside it.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "io/colour.hpp"

namespace lielow {

/// One class of a legend.
struct StyleClass {
    double from = 0;  ///< in the raster's own (SI) units
    double to = 0;    ///< likewise; a cell at `to` belongs to the next class, if that begins there
    Colour colour{};
    std::string label;  ///< as the legend shows it, in the reader's units
};

/// The legend of one raster. Cells in no class aren't drawn.
struct RasterStyle {
    std::string title;
    std::vector<StyleClass> classes;  ///< rising; they don't overlap, but may leave gaps
    bool by_value = false;            ///< a class raster: from == to == the class's value
};

/// OGC Styled Layer Descriptor 1.0.0 with a RasterSymbolizer. The ColorMap's attribute `type` is no part of
/// the standard but a widely read extension; a reader that doesn't know it draws the same colours without
/// steps. An entry of "intervals" colours what lies below its quantity down to the entry before it.
std::string raster_sld(const std::string& layer, const RasterStyle& style);

/// The style that QGIS takes from a file NAME.qml beside NAME.tif by itself.
std::string raster_qml(const RasterStyle& style);

/// Writes both beside `raster`, with its name and their own endings. Throws RunError. The bytes depend on the
/// arguments alone.
void write_raster_style(const std::filesystem::path& raster, const RasterStyle& style);

}  // namespace lielow
