// SPDX-License-Identifier: Apache-2.0
#include "io/gdal_obstacle.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "io/gdal_outline.hpp"
#include "io/nearest_name.hpp"
#include "io/number_text.hpp"
#include "sim/errors.hpp"

namespace lielow::gdal {
namespace {

constexpr double tallest_m = 100.0;
constexpr double widest_m = 1000.0;
constexpr double most_heat_w = 1e8;

/// From map positions to metres along and down the rows.
class ToMetres final : public OGRCoordinateTransformation {
  public:
    ToMetres(const Grid& grid, const GeoReference& geo) : dx_(grid.dx), dy_(grid.dy) {
        GeoReference copy = geo;
        if (!GDALInvGeoTransform(copy.transform.data(), inverse_.data()))
            throw RunError("the ground's position can't be inverted");
    }
    OGRSpatialReference* GetSourceCS() override { return nullptr; }
    OGRSpatialReference* GetTargetCS() override { return nullptr; }
    int Transform(int count, double* x, double* y, double* /*z*/, double* /*t*/, int* done) override {
        for (int i = 0; i < count; ++i) {
            const double col = inverse_[0] + x[i] * inverse_[1] + y[i] * inverse_[2];
            const double row = inverse_[3] + x[i] * inverse_[4] + y[i] * inverse_[5];
            x[i] = col * dx_;
            y[i] = row * dy_;
            if (done != nullptr) done[i] = TRUE;
        }
        return TRUE;
    }
    OGRCoordinateTransformation* Clone() const override { return new ToMetres(*this); }
    OGRCoordinateTransformation* GetInverse() const override { return nullptr; }

  private:
    std::array<double, 6> inverse_{};
    double dx_;
    double dy_;
};

bool is_set(const OGRFeature& feature, int index) {
    return index >= 0 && feature.IsFieldSetAndNotNull(index);
}

std::optional<std::string> text_of(const OGRFeature& feature, const std::string& attribute) {
    const int index = feature.GetFieldIndex(attribute.c_str());
    if (!is_set(feature, index)) return std::nullopt;
    return one_line(const_cast<OGRFeature&>(feature).GetFieldAsString(index));
}

/// A text must be a number and nothing else: GDAL would take any other for 0.
std::optional<double> number_of(const OGRFeature& feature, const std::string& attribute,
                                const std::string& where) {
    const int index = feature.GetFieldIndex(attribute.c_str());
    if (!is_set(feature, index)) return std::nullopt;
    if (feature.GetFieldDefnRef(index)->GetType() != OFTString)
        return const_cast<OGRFeature&>(feature).GetFieldAsDouble(index);
    const std::string text = text_of(feature, attribute).value();
    std::string_view rest = text;
    const auto number = take_number(rest);
    if (!number || !trim(rest).empty())
        throw InputError(fmt::format("{}: {} is \"{}\", must be a number", where, attribute, text));
    return number;
}

/// Judges one shape's attributes; messages name the shape.
struct Attributes {
    const OGRFeature& feature;
    const std::string& where;

    [[nodiscard]] double quantity(const char* attribute, const char* plain, Dimension dimension, double most,
                                  const char* example) const {
        std::optional<double> value;
        if (const auto text = text_of(feature, attribute)) {
            try {
                value = parse_quantity(*text, dimension);
            } catch (const InputError& error) {
                throw InputError(fmt::format("{}: {}: {}", where, attribute, error.what()));
            }
        } else {
            value = number_of(feature, plain, where);
        }
        if (!value) {
            throw InputError(fmt::format("{} has no {}; add an attribute {} such as \"{}\"", where, attribute,
                                         attribute, example));
        }
        if (!(*value > 0 && *value <= most)) {
            throw InputError(fmt::format("{}: a {} of {:.4g} {} can't be; it must lie above 0 and up to {:g}",
                                         where, attribute, *value, words_for(dimension).si_unit, most));
        }
        return *value;
    }
    [[nodiscard]] double length(const char* attribute, double most, const char* example) const {
        return quantity(attribute, fmt::format("{}_m", attribute).c_str(), Dimension::length, most, example);
    }
    [[nodiscard]] double openness(bool may_lack) const {
        const auto given = number_of(feature, "openness", where);
        if (!given && may_lack) return 0;
        if (!given) {
            throw InputError(fmt::format(
                "{} has no openness; add an attribute openness from 0 (solid) to 1 (open)", where));
        }
        if (!(*given >= 0 && *given <= 1)) {
            const bool percent = *given > 1 && *given <= 100;
            throw InputError(
                fmt::format("{}: openness is {:g}, must lie between 0 (solid) and 1 (open){}", where, *given,
                            percent ? fmt::format("; {:g} % is {:g}", *given, *given / 100) : ""));
        }
        return *given;
    }
};

std::size_t kind_of(const OGRFeature& feature, const std::string& where) {
    const auto given = text_of(feature, "kind");
    std::vector<std::string_view> names;
    for (const ShapeKind& kind : shape_kinds()) names.push_back(kind.name);
    if (!given || given->empty())
        throw InputError(fmt::format("{} has no kind; write hedge, fence, wall, gap, fan or another", where));
    std::string lower = *given;
    std::replace(lower.begin(), lower.end(), '_', ' ');
    std::transform(lower.begin(), lower.end(), lower.begin(),
                   [](unsigned char c) { return static_cast<char>(c < 0x80 ? std::tolower(c) : c); });
    const auto found = std::find(names.begin(), names.end(), lower);
    if (found == names.end()) {
        throw InputError(fmt::format(R"({}: unknown kind "{}"; the nearest known one is "{}")", where, *given,
                                     nearest_name(lower, names)));
    }
    return static_cast<std::size_t>(found - names.begin());
}

void judge_shape(const ObstacleShape& shape, int dimension) {
    const bool fits = shape.role() == ShapeRole::standing ? dimension > 0
                      : shape.role() == ShapeRole::fan    ? dimension == 0
                                                          : true;
    if (fits) return;
    throw InputError(fmt::format(
        "{} is {}; draw a {}", shape.where,
        dimension == 0   ? "a point"
        : dimension == 1 ? "a line"
                         : "an outline",
        shape.role() == ShapeRole::fan ? "point where it stands" : "line along it or its outline"));
}

void read_attributes(const Attributes& attributes, int dimension, ObstacleShape& shape) {
    switch (shape.role()) {
        case ShapeRole::standing:
            shape.height_m = attributes.length("height", tallest_m, "40 ft");
            shape.openness = attributes.openness(shape_kinds()[shape.kind].may_lack_openness);
            return;
        case ShapeRole::passage:
            shape.height_m = attributes.length("height", tallest_m, "4 ft");
            break;
        case ShapeRole::fan:
            shape.radius_m = attributes.length("radius", widest_m, "150 ft");
            shape.heat_w = attributes.quantity("heat", "heat_w", Dimension::power, most_heat_w, "60 kW");
            return;
        case ShapeRole::gap:
            break;
    }
    if (dimension < 2) shape.width_m = attributes.length("width", widest_m, "12 ft");
}

/// In the file's CRS: curves made of short lines, heights dropped, outlines sound.
std::unique_ptr<OGRGeometry> flat_geometry(const OGRGeometry& geometry, const std::string& name,
                                           const OGRSpatialReference& crs, const std::string& file,
                                           std::vector<std::string>& notes) {
    if (geometry.getDimension() == 2) {
        Polygons polygons = flat_polygons(geometry);
        if (!polygons) return nullptr;
        return sound(std::move(polygons), name, crs, file, notes);
    }
    std::unique_ptr<OGRGeometry> flat(geometry.getLinearGeometry());
    if (!flat || flat->IsEmpty()) return nullptr;
    flat->flattenTo2D();
    flat.reset(geometry.getDimension() == 1 ? OGRGeometryFactory::forceToMultiLineString(flat.release())
                                            : OGRGeometryFactory::forceToMultiPoint(flat.release()));
    return flat;
}

}  // namespace

const std::vector<ShapeKind>& shape_kinds() {
    static const std::vector<ShapeKind> kinds{
        {"hedge", ShapeRole::standing, false},  {"tree belt", ShapeRole::standing, false},
        {"fence", ShapeRole::standing, false},  {"wall", ShapeRole::standing, true},
        {"bank", ShapeRole::standing, true},    {"gap", ShapeRole::gap, false},
        {"culvert", ShapeRole::passage, false}, {"bridge", ShapeRole::passage, false},
        {"fan", ShapeRole::fan, false},
    };
    return kinds;
}

GeoReference metres_on(const Grid& grid) {
    GeoReference geo;
    geo.transform = {0, grid.dx, 0, 0, 0, grid.dy};
    return geo;
}

std::optional<ObstacleShape> ShapeReader::read(const OGRFeature& feature, const OGRSpatialReference& crs,
                                               OGRCoordinateTransformation* to_ground) {
    const OGRGeometry* geometry = feature.GetGeometryRef();
    if (geometry == nullptr || geometry->IsEmpty()) return std::nullopt;
    ++found;
    ObstacleShape shape;
    shape.name = text_of(feature, "name").value_or(fmt::format("{} {}", noun, found));
    shape.where = fmt::format("{}: {} \"{}\"", file, noun, shape.name);
    shape.kind = fixed_kind ? *fixed_kind : kind_of(feature, shape.where);
    const int dimension = geometry->getDimension();
    judge_shape(shape, dimension);
    read_attributes({feature, shape.where}, dimension, shape);
    shape.geometry = flat_geometry(*geometry, shape.name, crs, file, notes);
    if (!shape.geometry) return std::nullopt;
    if (to_ground != nullptr && shape.geometry->transform(to_ground) != OGRERR_NONE)
        throw InputError(fmt::format("{} can't be brought into the DEM's CRS", shape.where));
    // Its CRS has done its work, and GDAL would complain that metres on the ground's cells have none.
    shape.geometry->assignSpatialReference(nullptr);
    ToMetres to_metres(grid, geo);
    if (shape.geometry->transform(&to_metres) != OGRERR_NONE)
        throw InputError(fmt::format("{} can't be laid on the ground", shape.where));
    if (!shape.geometry->Intersects(extent_of(grid, metres_on(grid)).get())) {
        notes.push_back(fmt::format("{} lies outside the DEM and is left out", shape.where));
        return std::nullopt;
    }
    return shape;
}

}  // namespace lielow::gdal
