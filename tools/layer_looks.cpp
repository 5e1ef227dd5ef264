// SPDX-License-Identifier: Apache-2.0
#include "tools/layer_looks.hpp"

#include <algorithm>
#include <map>
#include <string_view>

namespace lielow {
namespace {

using By = LayerStyle::By;

// Chosen to stand apart from each other in lightness, and from the maps below by a dark or white edge.
constexpr Colour ink{40, 40, 46};
constexpr Colour white{255, 255, 255};
constexpr Colour water{28, 92, 158};
constexpr Colour cold{24, 150, 190};
constexpr Colour warm{222, 124, 60};
constexpr Colour earth{120, 78, 40};

LayerSymbol line(const Colour& colour, double line_mm) {
    LayerSymbol symbol;
    symbol.colour = colour;
    symbol.line_mm = line_mm;
    return symbol;
}

LayerSymbol outline(const Colour& edge, double line_mm, const Colour& fill = {}, double opacity = 0) {
    LayerSymbol symbol;
    symbol.colour = fill;
    symbol.opacity = opacity;
    symbol.outline = edge;
    symbol.line_mm = line_mm;
    return symbol;
}

LayerSymbol point(const char* mark, double size_mm, const Colour& fill, const Colour& edge = ink) {
    LayerSymbol symbol;
    symbol.mark = mark;
    symbol.size_mm = size_mm;
    symbol.colour = fill;
    symbol.outline = edge;
    symbol.line_mm = 0.3;
    return symbol;
}

LayerStyle one(const char* legend, const LayerSymbol& symbol, const char* label = "") {
    return {By::nothing, "", {{legend, symbol}}, label, ""};
}

bool has_column(const VectorLayer& layer, std::string_view name) {
    return std::any_of(layer.columns.begin(), layer.columns.end(),
                       [&](const Column& column) { return column.name == name; });
}

/// Filled by the class of their largest part, thinly, so that a map below shows through.
LayerStyle fields_style(const VectorLayer& layer) {
    constexpr double thin = 0.2;
    constexpr double edge_mm = 0.7;
    if (!has_column(layer, "siting_most")) return one("Field", outline(ink, edge_mm), "name");
    LayerStyle style{By::text, "siting_most", {}, "name", ""};
    for (const RasterClass& c : siting_class_colours())
        style.classes.push_back({"Most of it: " + c.name, outline(ink, edge_mm, c.colour, thin), c.name});
    return style;
}

LayerStyle ways_style() {
    LayerStyle style{By::number, "stream_order", {}, "", ""};
    constexpr int most = 4;
    for (int order = 1; order <= most; ++order) {
        const std::string name = std::to_string(order) + (order == most ? " and more" : "");
        style.classes.push_back({"Drainage way of order " + name, line(water, 0.1 + 0.3 * order), "",
                                 order - 0.5, order == most ? 100.5 : order + 0.5});
    }
    return style;
}

LayerStyle arrows_style() {
    LayerStyle style = one("Where the cold air goes", point("triangle", 4.5, cold, white));
    style.turned_by = "goes_to_deg";
    return style;
}

LayerStyle test_spots_style() {
    return {By::text,
            "kind",
            {{"Put a thermometer here", point("triangle", 4, warm), "thermometer"},
             {"Dig an auger hole here", point("square", 3.4, earth, white), "auger hole"}},
            "name",
            ""};
}

LayerStyle sources_style() {
    LayerSymbol symbol = outline(water, 0.5);
    symbol.dashed = true;
    return one("Ground that drains into a field", symbol);
}

LayerStyle plain_style(const VectorLayer& layer) {
    const char* const label = has_column(layer, "name") ? "name" : "";
    if (layer.shape == Shape::point) return one(layer.name.c_str(), point("circle", 2.5, white), label);
    if (layer.shape == Shape::line) return one(layer.name.c_str(), line(ink, 0.4), label);
    return one(layer.name.c_str(), outline(ink, 0.5), label);
}

LayerStyle style_of(const VectorLayer& layer) {
    if (layer.name == "fields") return fields_style(layer);
    static const std::map<std::string_view, LayerStyle> known{
        {"reference_spot", one("Reference spot", point("star", 5, white))},
        {"flow_arrows", arrows_style()},
        {"cold_paths", one("Way of the cold air", line(cold, 0.6))},
        {"spots", one("Named spot", point("circle", 3, white), "name")},
        {"hollows", one("Closed hollow, full", outline(water, 0.3, water, 0.5))},
        {"hollow_spills", one("Where a hollow spills", point("circle", 1.6, water, white))},
        {"drainage_ways", ways_style()},
        {"field_sources", sources_style()},
        {"soil_tests", one("Test of the soil", point("square", 2.6, white, earth), "name")},
        {"auger_spots", one("Wet by the ground, dry by the survey", point("x", 3, earth, earth))},
        {"test_spots", test_spots_style()},
        {"farms", one("Farm", outline(ink, 0.8), "name")}};
    const auto at = known.find(layer.name);
    return at == known.end() ? plain_style(layer) : at->second;
}

}  // namespace

void style_layers(std::span<VectorLayer> layers) {
    for (VectorLayer& layer : layers) layer.style = style_of(layer);
}

}  // namespace lielow
