// SPDX-License-Identifier: Apache-2.0
#include "io/belts.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <optional>

#include "io/gdal_coverage.hpp"
#include "io/gdal_outline.hpp"
#include "io/gdal_vector.hpp"
#include "io/quantity.hpp"
#include "sim/errors.hpp"

namespace lielow {
namespace {

constexpr double tallest_m = 100.0;

std::optional<std::string> text_of(const OGRFeature& feature, const char* attribute) {
    const int index = feature.GetFieldIndex(attribute);
    if (index < 0 || !feature.IsFieldSetAndNotNull(index)) return std::nullopt;
    return gdal::one_line(const_cast<OGRFeature&>(feature).GetFieldAsString(index));
}

double height_of(const OGRFeature& feature, const std::string& where) {
    double height = 0;
    if (const auto text = text_of(feature, "height")) {
        try {
            height = parse_quantity(*text, Dimension::length);
        } catch (const InputError& error) {
            throw InputError(fmt::format("{}: height: {}", where, error.what()));
        }
    } else if (feature.GetFieldIndex("height_m") >= 0) {
        height = const_cast<OGRFeature&>(feature).GetFieldAsDouble("height_m");
    } else {
        throw InputError(fmt::format("{} has no height; add an attribute height such as \"40 ft\"", where));
    }
    if (!(height > 0 && height <= tallest_m)) {
        throw InputError(fmt::format("{}: a height of {:.1f} m can't be; it must lie above 0 and up to 100 m",
                                     where, height));
    }
    return height;
}

double openness_of(const OGRFeature& feature, const std::string& where) {
    const int index = feature.GetFieldIndex("openness");
    if (index < 0 || !feature.IsFieldSetAndNotNull(index)) {
        throw InputError(
            fmt::format("{} has no openness; add an attribute openness from 0 (solid) to 1 (open)", where));
    }
    const double openness = const_cast<OGRFeature&>(feature).GetFieldAsDouble(index);
    if (!(openness >= 0 && openness <= 1)) {
        throw InputError(
            fmt::format("{}: openness is {:g}, must lie between 0 (solid) and 1 (open)", where, openness));
    }
    return openness;
}

double perimeter(const OGRMultiPolygon& polygons) {
    double length = 0;
    for (const OGRPolygon* polygon : polygons) {
        for (const OGRLinearRing* ring : *polygon) length += ring->get_Length();
    }
    return length;
}

}  // namespace

std::vector<Belt> read_belts(const std::filesystem::path& path, const Grid& grid, const GeoReference& geo,
                             std::vector<std::string>& notes) {
    const std::string file = gdal::display_name(path);
    const gdal::PolygonSource source(path, "belts", "outlines of the tree belts", geo, notes);
    std::vector<Belt> belts;
    for (auto& feature : source.layer()) {
        const OGRGeometry* geometry = feature->GetGeometryRef();
        gdal::Polygons polygons = geometry == nullptr ? nullptr : gdal::flat_polygons(*geometry);
        if (!polygons) continue;
        Belt belt;
        belt.name = text_of(*feature, "name").value_or(fmt::format("belt {}", belts.size() + 1));
        const std::string where = fmt::format("{}: belt \"{}\"", file, belt.name);
        belt.height_m = height_of(*feature, where);
        belt.openness = openness_of(*feature, where);
        polygons = gdal::sound(std::move(polygons), belt.name, source.crs(), file, notes);
        if (source.to_ground() != nullptr && polygons->transform(source.to_ground()) != OGRERR_NONE) {
            throw InputError(fmt::format("{} can't be brought into the DEM's CRS", where));
        }
        const double unit = geo.metres_per_unit;
        const double area = polygons->get_Area() * unit * unit;
        if (!(area > 0)) throw InputError(fmt::format("{} has no area", where));
        belt.width_m = 2 * area / (perimeter(*polygons) * unit);
        gdal::Coverage coverage = gdal::coverage_of(*polygons, area, grid, geo);
        belt.cells = std::move(coverage.cells);
        belt.share = std::move(coverage.share);
        if (belt.cells.empty()) {
            notes.push_back(fmt::format("{} lies outside the DEM and is left out", where));
            continue;
        }
        belts.push_back(std::move(belt));
    }
    if (belts.empty()) notes.push_back(fmt::format("{} holds no belt on this ground", file));
    return belts;
}

double belt_drag_per_metre(const Belt& belt) {
    constexpr double element_drag = 0.2;
    constexpr double least_openness = 0.01;
    return element_drag * -std::log(std::max(belt.openness, least_openness)) / belt.width_m;
}

}  // namespace lielow
