// SPDX-License-Identifier: Apache-2.0
#include "io/raster_style.hpp"

#include <fmt/format.h>

#include <cmath>
#include <fstream>
#include <limits>
#include <optional>

#include "io/gdal_xml.hpp"
#include "sim/errors.hpp"

namespace lielow {
namespace {

using gdal::Element;
using gdal::XmlDocument;

constexpr double infinite = std::numeric_limits<double>::infinity();
constexpr float greatest_float = std::numeric_limits<float>::max();

/// The shortest text that reads back as the same number.
std::string number(double value) {
    if (std::isinf(value)) value = std::copysign(double{greatest_float}, value);
    return fmt::format("{}", value);
}

/// QGIS takes numbers so close to each other for equal (to some 1e-15); next to nought floats lie closer.
constexpr double near_nought = 1e-9;

/// The greatest value of a float raster below `limit`.
double just_below(double limit) {
    if (std::abs(limit) < near_nought) return limit - near_nought;
    auto value = static_cast<float>(limit);
    if (double{value} >= limit) value = std::nextafter(value, -greatest_float);
    return double{value};
}

/// The least value of a float raster above `limit`.
double just_above(double limit) {
    if (std::abs(limit) < near_nought) return limit + near_nought;
    auto value = static_cast<float>(limit);
    if (double{value} <= limit) value = std::nextafter(value, greatest_float);
    return double{value};
}

/// What is drawn in one colour, or not drawn, from the step before up to `end`, which itself lies in the
/// next.
struct Step {
    double end = 0;
    const StyleClass* drawn = nullptr;
};

/// Steps from minus infinity. The last class of each row without a gap holds its own end, too.
std::vector<Step> steps_of(const RasterStyle& style) {
    std::vector<Step> steps;
    std::optional<double> at;
    for (std::size_t n = 0; n < style.classes.size(); ++n) {
        const StyleClass& c = style.classes[n];
        if (!(at && *at >= c.from) && std::isfinite(c.from)) steps.push_back({c.from, nullptr});
        const bool goes_on = n + 1 < style.classes.size() && style.classes[n + 1].from <= c.to;
        steps.push_back({goes_on || std::isinf(c.to) ? c.to : just_above(c.to), &c});
        at = steps.back().end;
    }
    return steps;
}

void add_sld_entry(Element& map, const std::string& quantity, const StyleClass* drawn) {
    if (drawn == nullptr) {
        map.child("ColorMapEntry", {{"color", "#ffffff"}, {"quantity", quantity}, {"opacity", "0"}});
    } else {
        map.child("ColorMapEntry", {{"color", hex_text(drawn->colour)},
                                    {"quantity", quantity},
                                    {"label", drawn->label},
                                    {"opacity", "1"}});
    }
}

void add_palette(Element& renderer, const RasterStyle& style) {
    Element palette = renderer.child("colorPalette");
    for (const StyleClass& c : style.classes) {
        palette.child(
            "paletteEntry",
            {{"value", number(c.from)}, {"color", hex_text(c.colour)}, {"alpha", "255"}, {"label", c.label}});
    }
}

/// What isn't drawn is see-through by its value: a step of its own would be a row without a name in the
/// legend.
void add_transparency(Element& renderer, const std::vector<Step>& steps) {
    Element list = renderer.child("rasterTransparency").child("singleValuePixelList");
    const auto hide = [&](double from, double to) {
        list.child("pixelListEntry",
                   {{"min", number(from)}, {"max", number(to)}, {"percentTransparent", "100"}});
    };
    double from = -infinite;
    for (const Step& step : steps) {
        if (step.drawn == nullptr) hide(from, just_below(step.end));
        from = step.end;
    }
    if (!std::isinf(from)) hide(just_above(just_below(from)), infinite);
}

/// QGIS counts a value on a limit to the class below it; so that it draws what the legend says, each class
/// ends just below its limit.
void add_shader(Element& renderer, const std::vector<Step>& steps) {
    Element shader =
        renderer.child("rastershader")
            .child("colorrampshader", {{"colorRampType", "DISCRETE"},
                                       {"classificationMode", "1"},
                                       {"clip", "0"},
                                       {"labelPrecision", "4"},
                                       {"minimumValue", number(steps.empty() ? 0 : steps.front().end)},
                                       {"maximumValue", number(steps.empty() ? 0 : steps.back().end)}});
    for (const Step& step : steps) {
        if (step.drawn == nullptr) continue;
        shader.child("item", {{"value", number(std::isinf(step.end) ? step.end : just_below(step.end))},
                              {"color", hex_text(step.drawn->colour)},
                              {"alpha", "255"},
                              {"label", step.drawn->label}});
    }
}

void write_text(const std::filesystem::path& path, const std::string& text) {
    std::ofstream stream(path, std::ios::binary);
    stream << text;
    stream.close();
    if (!stream) throw RunError(fmt::format("can't write {}; is the disk full?", path.filename().string()));
}

}  // namespace

std::string raster_sld(const std::string& layer, const RasterStyle& style) {
    const XmlDocument document(
        "StyledLayerDescriptor",
        {{"version", "1.0.0"},
         {"xmlns", "http://www.opengis.net/sld"},
         {"xmlns:xsi", "http://www.w3.org/2001/XMLSchema-instance"},
         {"xsi:schemaLocation",
          "http://www.opengis.net/sld http://schemas.opengis.net/sld/1.0.0/StyledLayerDescriptor.xsd"}});
    Element named = document.root().child("NamedLayer");
    named.child_text("Name", layer);
    Element user = named.child("UserStyle");
    user.child_text("Title", style.title);
    Element symbolizer = user.child("FeatureTypeStyle").child("Rule").child("RasterSymbolizer");
    Element map = symbolizer.child("ColorMap", {{"type", style.by_value ? "values" : "intervals"}});
    if (style.by_value) {
        for (const StyleClass& c : style.classes) add_sld_entry(map, number(c.from), &c);
    } else {
        for (const Step& step : steps_of(style)) add_sld_entry(map, number(step.end), step.drawn);
    }
    return document.text("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n");
}

std::string raster_qml(const RasterStyle& style) {
    const XmlDocument document("qgis", {{"version", "3.22.0"}, {"styleCategories", "Symbology"}});
    Element pipe = document.root().child("pipe");
    Element renderer =
        pipe.child("rasterrenderer", {{"type", style.by_value ? "paletted" : "singlebandpseudocolor"},
                                      {"band", "1"},
                                      {"opacity", "1"},
                                      {"alphaBand", "-1"},
                                      {"nodataColor", ""}});
    if (style.by_value) {
        add_palette(renderer, style);
    } else {
        const std::vector<Step> steps = steps_of(style);
        add_transparency(renderer, steps);
        add_shader(renderer, steps);
    }
    return document.text("<!DOCTYPE qgis PUBLIC 'http://mrcc.com/qgis.dtd' 'SYSTEM'>\n");
}

void write_raster_style(const std::filesystem::path& raster, const RasterStyle& style) {
    std::filesystem::path file = raster;
    write_text(file.replace_extension(".sld"), raster_sld(raster.stem().string(), style));
    write_text(file.replace_extension(".qml"), raster_qml(style));
}

}  // namespace lielow
