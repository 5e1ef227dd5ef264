// SPDX-License-Identifier: Apache-2.0
// How a GIS shall draw a layer of outlines, lines or points.
#pragma once

#include <string>
#include <vector>

#include "io/colour.hpp"

namespace lielow {

enum class Shape { point, line, polygon, multi_polygon };

/// How one class of features is drawn.
struct LayerSymbol {
    Colour colour{};              ///< of a line, of the fill of an outline or a point
    double opacity = 1;           ///< of that fill; 0 = the outline alone
    Colour outline{};             ///< of an outline's or a point's edge
    double line_mm = 0.4;         ///< width of the line or the edge
    double size_mm = 3;           ///< of a point
    std::string mark = "circle";  ///< of a point: circle, square, triangle, star, cross, x
    bool dashed = false;
};

/// One row of the legend.
struct LayerClass {
    std::string label;
    LayerSymbol symbol;
    std::string text = {};  ///< features with this text, where the style goes by texts
    double from = 0;        ///< features from here ...
    double below = 0;       ///< ... up to below here, where the style goes by numbers
};

struct LayerStyle {
    enum class By { nothing, text, number };
    By by = By::nothing;              ///< nothing: one class for all
    std::string attribute = {};       ///< whose value chooses the class
    std::vector<LayerClass> classes;  ///< none: no style is written
    std::string label = {};           ///< attribute that is written beside each feature; empty = none
    std::string turned_by = {};  ///< attribute that turns a point's mark, degrees clockwise; empty = none
};

/// OGC Styled Layer Descriptor 1.0.0 for layer `layer`.
std::string layer_sld(const std::string& layer, Shape shape, const LayerStyle& style);

/// The same as QGIS keeps it.
std::string layer_qml(Shape shape, const LayerStyle& style);

}  // namespace lielow
