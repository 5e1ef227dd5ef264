// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include "io/gdal_xml.hpp"
#include "io/layer_style.hpp"

namespace lielow {
namespace {

using gdal::Element;
using gdal::XmlDocument;

/// OGC's standard pixel (Symbology Encoding 1.1, section 11.3).
constexpr double mm_per_pixel = 0.28;

std::string pixels(double mm) {
    return fmt::format("{:.2f}", mm / mm_per_pixel);
}

void css(Element& parent, const char* name, const std::string& value) {
    Element element = parent.child("CssParameter", {{"name", name}});
    element.text(value);
}

void add_fill(Element& parent, const Colour& colour, double opacity) {
    Element fill = parent.child("Fill");
    css(fill, "fill", hex_text(colour));
    if (opacity < 1) css(fill, "fill-opacity", fmt::format("{:.2f}", opacity));
}

void add_stroke(Element& parent, const Colour& colour, const LayerSymbol& symbol) {
    Element stroke = parent.child("Stroke");
    css(stroke, "stroke", hex_text(colour));
    css(stroke, "stroke-width", pixels(symbol.line_mm));
    if (symbol.dashed) css(stroke, "stroke-dasharray", "6 4");
}

void add_point(Element& rule, const LayerSymbol& symbol, const std::string& turned_by) {
    Element graphic = rule.child("PointSymbolizer").child("Graphic");
    Element mark = graphic.child("Mark");
    mark.child_text("WellKnownName", symbol.mark);
    add_fill(mark, symbol.colour, symbol.opacity);
    add_stroke(mark, symbol.outline, symbol);
    graphic.child_text("Size", pixels(symbol.size_mm));
    if (!turned_by.empty()) graphic.child("Rotation").child_text("ogc:PropertyName", turned_by);
}

void add_symbolizer(Element& rule, Shape shape, const LayerSymbol& symbol, const std::string& turned_by) {
    if (shape == Shape::point) {
        add_point(rule, symbol, turned_by);
    } else if (shape == Shape::line) {
        Element line = rule.child("LineSymbolizer");
        add_stroke(line, symbol.colour, symbol);
    } else {
        Element polygon = rule.child("PolygonSymbolizer");
        if (symbol.opacity > 0) add_fill(polygon, symbol.colour, symbol.opacity);
        add_stroke(polygon, symbol.outline, symbol);
    }
}

void add_comparison(Element& filter, const char* how, const std::string& attribute,
                    const std::string& value) {
    Element comparison = filter.child(how);
    comparison.child_text("ogc:PropertyName", attribute);
    comparison.child_text("ogc:Literal", value);
}

void add_filter(Element& rule, const LayerStyle& style, const LayerClass& c) {
    if (style.by == LayerStyle::By::nothing) return;
    Element filter = rule.child("ogc:Filter");
    if (style.by == LayerStyle::By::text) {
        add_comparison(filter, "ogc:PropertyIsEqualTo", style.attribute, c.text);
    } else {
        Element both = filter.child("ogc:And");
        add_comparison(both, "ogc:PropertyIsGreaterThanOrEqualTo", style.attribute,
                       fmt::format("{}", c.from));
        add_comparison(both, "ogc:PropertyIsLessThan", style.attribute, fmt::format("{}", c.below));
    }
}

void add_label(Element& type_style, Shape shape, const std::string& attribute) {
    Element text = type_style.child("Rule").child("TextSymbolizer");
    text.child("Label").child_text("ogc:PropertyName", attribute);
    Element font = text.child("Font");
    css(font, "font-family", "SansSerif");
    css(font, "font-size", "12");
    if (shape == Shape::point) {
        Element placement = text.child("LabelPlacement").child("PointPlacement");
        Element displacement = placement.child("Displacement");
        displacement.child_text("DisplacementX", "8");
        displacement.child_text("DisplacementY", "4");
    }
    Element halo = text.child("Halo");
    halo.child_text("Radius", "2");
    add_fill(halo, {255, 255, 255}, 1);
    add_fill(text, {0, 0, 0}, 1);
}

}  // namespace

std::string layer_sld(const std::string& layer, Shape shape, const LayerStyle& style) {
    const XmlDocument document(
        "StyledLayerDescriptor",
        {{"version", "1.0.0"},
         {"xmlns", "http://www.opengis.net/sld"},
         {"xmlns:ogc", "http://www.opengis.net/ogc"},
         {"xmlns:xsi", "http://www.w3.org/2001/XMLSchema-instance"},
         {"xsi:schemaLocation",
          "http://www.opengis.net/sld http://schemas.opengis.net/sld/1.0.0/StyledLayerDescriptor.xsd"}});
    Element named = document.root().child("NamedLayer");
    named.child_text("Name", layer);
    Element type_style = named.child("UserStyle").child("FeatureTypeStyle");
    for (const LayerClass& c : style.classes) {
        Element rule = type_style.child("Rule");
        rule.child_text("Title", c.label);
        add_filter(rule, style, c);
        add_symbolizer(rule, shape, c.symbol, style.turned_by);
    }
    if (!style.label.empty()) add_label(type_style, shape, style.label);
    return document.text("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n");
}

}  // namespace lielow
