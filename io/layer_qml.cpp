// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <cmath>

#include "io/gdal_xml.hpp"
#include "io/layer_style.hpp"

namespace lielow {
namespace {

using gdal::Element;
using gdal::XmlDocument;

std::string rgba(const Colour& colour, double opacity = 1) {
    return fmt::format("{},{},{},{}", colour[0], colour[1], colour[2], std::lround(255 * opacity));
}

void option(Element& map, const char* name, const std::string& value) {
    map.child("Option", {{"type", "QString"}, {"name", name}, {"value", value}});
}

void add_marker(Element& map, const LayerSymbol& symbol, bool turned) {
    option(map, "name", turned ? "arrow" : symbol.mark == "cross" ? "cross_fill" : symbol.mark);
    option(map, "color", rgba(symbol.colour, symbol.opacity));
    option(map, "outline_color", rgba(symbol.outline));
    option(map, "outline_style", "solid");
    option(map, "outline_width", fmt::format("{}", symbol.line_mm));
    option(map, "outline_width_unit", "MM");
    option(map, "size", fmt::format("{}", symbol.size_mm));
    option(map, "size_unit", "MM");
}

void add_line(Element& map, const LayerSymbol& symbol) {
    option(map, "line_color", rgba(symbol.colour));
    option(map, "line_style", symbol.dashed ? "dash" : "solid");
    option(map, "line_width", fmt::format("{}", symbol.line_mm));
    option(map, "line_width_unit", "MM");
    option(map, "capstyle", "round");
    option(map, "joinstyle", "round");
}

void add_fill(Element& map, const LayerSymbol& symbol) {
    option(map, "color", rgba(symbol.colour, symbol.opacity));
    option(map, "style", symbol.opacity > 0 ? "solid" : "no");
    option(map, "outline_color", rgba(symbol.outline));
    option(map, "outline_style", symbol.dashed ? "dash" : "solid");
    option(map, "outline_width", fmt::format("{}", symbol.line_mm));
    option(map, "outline_width_unit", "MM");
    option(map, "joinstyle", "round");
}

void turn(Element& layer, const std::string& attribute) {
    Element map = layer.child("data_defined_properties").child("Option", {{"type", "Map"}});
    option(map, "name", "");
    Element angle = map.child("Option", {{"type", "Map"}, {"name", "properties"}})
                        .child("Option", {{"type", "Map"}, {"name", "angle"}});
    angle.child("Option", {{"type", "bool"}, {"name", "active"}, {"value", "true"}});
    option(angle, "field", attribute);
    angle.child("Option", {{"type", "int"}, {"name", "type"}, {"value", "2"}});
    option(map, "type", "collection");
}

void add_symbol(Element& symbols, std::size_t number, Shape shape, const LayerSymbol& symbol,
                const std::string& turned_by) {
    const bool is_point = shape == Shape::point;
    const bool is_line = shape == Shape::line;
    Element element = symbols.child("symbol", {{"type", is_point  ? "marker"
                                                        : is_line ? "line"
                                                                  : "fill"},
                                               {"name", fmt::format("{}", number)},
                                               {"alpha", "1"},
                                               {"clip_to_extent", "1"},
                                               {"force_rhr", "0"}});
    const char* const kind = is_point ? "SimpleMarker" : is_line ? "SimpleLine" : "SimpleFill";
    Element layer =
        element.child("layer", {{"class", kind}, {"pass", "0"}, {"locked", "0"}, {"enabled", "1"}});
    Element map = layer.child("Option", {{"type", "Map"}});
    if (is_point) {
        add_marker(map, symbol, !turned_by.empty());
        if (!turned_by.empty()) turn(layer, turned_by);
    } else if (is_line) {
        add_line(map, symbol);
    } else {
        add_fill(map, symbol);
    }
}

/// QGIS counts a number on an upper limit to that class; numbers here are whole or never on a limit.
void add_classes(Element& renderer, const LayerStyle& style) {
    const bool by_text = style.by == LayerStyle::By::text;
    Element list = renderer.child(by_text ? "categories" : "ranges");
    for (std::size_t n = 0; n < style.classes.size(); ++n) {
        const LayerClass& c = style.classes[n];
        if (by_text) {
            list.child("category", {{"value", c.text},
                                    {"type", "string"},
                                    {"symbol", fmt::format("{}", n)},
                                    {"label", c.label},
                                    {"render", "true"}});
        } else {
            list.child("range", {{"lower", fmt::format("{}", c.from)},
                                 {"upper", fmt::format("{}", c.below)},
                                 {"symbol", fmt::format("{}", n)},
                                 {"label", c.label},
                                 {"render", "true"}});
        }
    }
}

const char* renderer_type(LayerStyle::By by) {
    if (by == LayerStyle::By::nothing) return "singleSymbol";
    return by == LayerStyle::By::text ? "categorizedSymbol" : "graduatedSymbol";
}

void add_renderer(Element& root, Shape shape, const LayerStyle& style) {
    Element renderer = root.child("renderer-v2", {{"type", renderer_type(style.by)},
                                                  {"forceraster", "0"},
                                                  {"symbollevels", "0"},
                                                  {"enableorderby", "0"}});
    if (style.by != LayerStyle::By::nothing) {
        renderer.attribute("attr", style.attribute);
        if (style.by == LayerStyle::By::number) renderer.attribute("graduatedMethod", "GraduatedColor");
        add_classes(renderer, style);
    }
    Element symbols = renderer.child("symbols");
    for (std::size_t n = 0; n < style.classes.size(); ++n)
        add_symbol(symbols, n, shape, style.classes[n].symbol, style.turned_by);
}

void add_labels(Element& root, Shape shape, const std::string& attribute) {
    Element settings =
        root.child("labeling", {{"type", "simple"}}).child("settings", {{"calloutType", "simple"}});
    Element text = settings.child("text-style", {{"fieldName", attribute},
                                                 {"isExpression", "0"},
                                                 {"fontFamily", "Sans Serif"},
                                                 {"fontSize", "10"},
                                                 {"fontSizeUnit", "Point"},
                                                 {"textColor", "0,0,0,255"},
                                                 {"textOpacity", "1"}});
    text.child("text-buffer", {{"bufferDraw", "1"},
                               {"bufferSize", "0.8"},
                               {"bufferSizeUnits", "MM"},
                               {"bufferColor", "255,255,255,255"},
                               {"bufferOpacity", "1"}});
    constexpr const char* around_point = "0";
    constexpr const char* over_centroid = "1";
    settings.child("placement", {{"placement", shape == Shape::point ? around_point : over_centroid},
                                 {"dist", "1"},
                                 {"distUnits", "MM"},
                                 {"priority", "5"},
                                 {"centroidInside", "1"}});
    // Every label is drawn, and no outline keeps the labels of spots off its inside.
    settings.child("rendering", {{"drawLabels", "1"},
                                 {"displayAll", "1"},
                                 {"obstacle", "0"},
                                 {"fontLimitPixelSize", "0"},
                                 {"scaleVisibility", "0"}});
}

}  // namespace

std::string layer_qml(Shape shape, const LayerStyle& style) {
    const XmlDocument document("qgis", {{"version", "3.22.0"},
                                        {"styleCategories", "Symbology|Labeling"},
                                        {"labelsEnabled", style.label.empty() ? "0" : "1"}});
    Element root = document.root();
    add_renderer(root, shape, style);
    if (!style.label.empty()) add_labels(root, shape, style.label);
    return document.text("<!DOCTYPE qgis PUBLIC 'http://mrcc.com/qgis.dtd' 'SYSTEM'>\n");
}

}  // namespace lielow
