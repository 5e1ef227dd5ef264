// SPDX-License-Identifier: Apache-2.0
// Style files: read again as XML, every value falls into its class.
#include "io/raster_style.hpp"

#include <cpl_minixml.h>
#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <memory>
#include <optional>

#include "sim/errors.hpp"
#include "support/temp_dir.hpp"

namespace lielow {
namespace {

using testing::complaint;
using testing::holds;
using testing::read_text;
using testing::TempDir;

struct TreeCloser {
    void operator()(CPLXMLNode* node) const { CPLDestroyXMLNode(node); }
};
using Tree = std::unique_ptr<CPLXMLNode, TreeCloser>;

RasterStyle depths() {
    return {"Depth of <water> & \"mud\"",
            {{0.1, 0.25, {10, 20, 30}, "4 to 10 in"}, {0.25, 1, {0, 0, 255}, "10 to 39 in"}},
            false};
}

struct Entry {
    std::string colour;
    double value = 0;
    bool drawn = false;
    std::string label;
};

std::vector<Entry> entries(const CPLXMLNode* parent, const char* name, const char* value,
                           const char* opacity) {
    std::vector<Entry> all;
    for (const CPLXMLNode* n = parent->psChild; n != nullptr; n = n->psNext) {
        if (n->eType != CXT_Element || std::string(n->pszValue) != name) continue;
        all.push_back({CPLGetXMLValue(n, "color", ""), std::stod(CPLGetXMLValue(n, value, "")),
                       std::stod(CPLGetXMLValue(n, opacity, "")) > 0, CPLGetXMLValue(n, "label", "")});
    }
    return all;
}

std::vector<Entry> sld_entries(const RasterStyle& style, const std::string& kind) {
    const Tree tree(CPLParseXMLString(raster_sld("x", style).c_str()));
    const CPLXMLNode* map = CPLGetXMLNode(
        tree.get(),
        "=StyledLayerDescriptor.NamedLayer.UserStyle.FeatureTypeStyle.Rule.RasterSymbolizer.ColorMap");
    EXPECT_NE(map, nullptr);
    EXPECT_STREQ(CPLGetXMLValue(map, "type", ""), kind.c_str());
    return entries(map, "ColorMapEntry", "quantity", "opacity");
}

struct QmlStyle {
    std::vector<Entry> items;
    std::vector<std::array<double, 2>> hidden;
};

QmlStyle qml_style(const RasterStyle& style) {
    const Tree tree(CPLParseXMLString(raster_qml(style).c_str()));
    const CPLXMLNode* renderer = CPLGetXMLNode(tree.get(), "=qgis.pipe.rasterrenderer");
    QmlStyle read;
    read.items = entries(CPLGetXMLNode(renderer, "rastershader.colorrampshader"), "item", "value", "alpha");
    const CPLXMLNode* list = CPLGetXMLNode(renderer, "rasterTransparency.singleValuePixelList");
    for (const CPLXMLNode* n = list->psChild; n != nullptr; n = n->psNext)
        read.hidden.push_back(
            {std::stod(CPLGetXMLValue(n, "min", "")), std::stod(CPLGetXMLValue(n, "max", ""))});
    return read;
}

/// As "intervals" are read: the first entry whose quantity is greater than the value.
std::string sld_label(const std::vector<Entry>& all, float value) {
    for (const Entry& e : all) {
        if (static_cast<double>(value) < e.value) return e.drawn ? e.label : "";
    }
    return "";
}

/// As QGIS reads discrete items: the first whose value is not less, but nothing in a hidden range.
std::string qml_label(const QmlStyle& style, float value) {
    const auto v = static_cast<double>(value);
    for (const auto& [least, greatest] : style.hidden) {
        constexpr double taken_for_equal = 1e-14;
        if (v >= least - taken_for_equal && v <= greatest + taken_for_equal) return "";
    }
    for (const Entry& e : style.items) {
        if (v <= e.value) return e.label;
    }
    return "above all";
}

void expect_label(const RasterStyle& style, float value, const std::string& label) {
    EXPECT_EQ(sld_label(sld_entries(style, "intervals"), value), label) << value;
    EXPECT_EQ(qml_label(qml_style(style), value), label) << value;
}

TEST(RasterStyle, EachValueFallsIntoItsClass) {
    const RasterStyle style = depths();
    const float tenth = 0.1F;  // above the double 0.1
    expect_label(style, -9999, "");
    expect_label(style, std::nextafter(tenth, 0.0F), "");
    expect_label(style, tenth, "4 to 10 in");
    expect_label(style, std::nextafter(0.25F, 0.0F), "4 to 10 in");
    expect_label(style, 0.25F, "10 to 39 in");
    expect_label(style, 1, "10 to 39 in");
    expect_label(style, std::nextafter(1.0F, 2.0F), "");
}

TEST(RasterStyle, GapsAndOpenEnds) {
    constexpr double infinite = std::numeric_limits<double>::infinity();
    const RasterStyle change{"Change",
                             {{-infinite, -1, {1, 2, 3}, "colder"},
                              {-1, -0.5, {4, 5, 6}, "a little colder"},
                              {0.5, 1, {7, 8, 9}, "a little warmer"},
                              {1, infinite, {9, 9, 9}, "warmer"}},
                             false};
    expect_label(change, -1e30F, "colder");
    expect_label(change, -1, "a little colder");
    expect_label(change, -0.5F, "a little colder");
    expect_label(change, -0.49F, "");
    expect_label(change, 0, "");
    expect_label(change, 0.5F, "a little warmer");
    expect_label(change, 1, "warmer");
    expect_label(change, 1e30F, "warmer");
}

TEST(RasterStyle, NoughtBelongsToTheClassThatBeginsOrEndsThere) {
    const RasterStyle from{"From", {{0, 1, {1, 2, 3}, "0 to 1"}}, false};
    expect_label(from, 0, "0 to 1");
    expect_label(from, -0.001F, "");
    const RasterStyle up_to{"Up to", {{-1, 0, {1, 2, 3}, "-1 to 0"}}, false};
    expect_label(up_to, 0, "-1 to 0");
    expect_label(up_to, 0.001F, "");
    const RasterStyle only{"Only", {{0, 0, {1, 2, 3}, "0"}}, false};
    expect_label(only, 0, "0");
    expect_label(only, 0.001F, "");
}

TEST(RasterStyle, TitleAndColours) {
    const Tree tree(CPLParseXMLString(raster_sld("x", depths()).c_str()));
    EXPECT_STREQ(CPLGetXMLValue(tree.get(), "=StyledLayerDescriptor.NamedLayer.UserStyle.Title", ""),
                 "Depth of <water> & \"mud\"");
    EXPECT_STREQ(CPLGetXMLValue(tree.get(), "=StyledLayerDescriptor.NamedLayer.Name", ""), "x");
    EXPECT_EQ(sld_entries(depths(), "intervals").at(1).colour, "#0a141e");
    EXPECT_EQ(qml_style(depths()).items.at(1).colour, "#0000ff");
}

TEST(RasterStyle, ClassesByValue) {
    const RasterStyle style{"Classes", {{0, 0, {1, 1, 1}, "good"}, {7, 7, {255, 0, 0}, "poor"}}, true};
    const std::vector<Entry> sld = sld_entries(style, "values");
    ASSERT_EQ(sld.size(), 2U);
    EXPECT_EQ(sld[1].value, 7);
    EXPECT_EQ(sld[1].label, "poor");
    const Tree tree(CPLParseXMLString(raster_qml(style).c_str()));
    EXPECT_STREQ(CPLGetXMLValue(tree.get(), "=qgis.pipe.rasterrenderer.type", ""), "paletted");
    const auto palette = entries(CPLGetXMLNode(tree.get(), "=qgis.pipe.rasterrenderer.colorPalette"),
                                 "paletteEntry", "value", "alpha");
    ASSERT_EQ(palette.size(), 2U);
    EXPECT_EQ(palette[1].colour, "#ff0000");
    EXPECT_EQ(palette[0].label, "good");
}

TEST(RasterStyle, FilesBesideTheRaster) {
    const TempDir dir;
    write_raster_style(dir / "a.tif", depths());
    EXPECT_EQ(read_text(dir / "a.sld"), raster_sld("a", depths()));
    EXPECT_EQ(read_text(dir / "a.qml"), raster_qml(depths()));
    EXPECT_TRUE(
        holds(complaint<RunError>([&] { write_raster_style(dir / "none/a.tif", depths()); }), "a.sld"));
}

}  // namespace
}  // namespace lielow
