// SPDX-License-Identifier: Apache-2.0
#include "io/ground_change_file.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <optional>

#include "io/gdal_vector.hpp"
#include "io/quantity.hpp"
#include "sim/errors.hpp"

namespace lielow {
namespace {

constexpr double tallest_m = 100.0;

std::optional<std::string> text_of(OGRFeature& feature, const std::string& attribute) {
    const int index = feature.GetFieldIndex(attribute.c_str());
    if (index < 0 || !feature.IsFieldSetAndNotNull(index)) return std::nullopt;
    return gdal::one_line(feature.GetFieldAsString(index));
}

/// 0 where it may lack and does.
double length_of(OGRFeature& feature, const std::string& attribute, bool may_lack, const std::string& where) {
    double length = 0;
    const int plain = feature.GetFieldIndex((attribute + "_m").c_str());
    if (const auto text = text_of(feature, attribute)) {
        try {
            length = parse_quantity(*text, Dimension::length);
        } catch (const InputError& error) {
            throw InputError(fmt::format("{}: {}: {}", where, attribute, error.what()));
        }
    } else if (plain >= 0 && feature.IsFieldSetAndNotNull(plain)) {
        length = feature.GetFieldAsDouble(plain);
    } else if (may_lack) {
        return 0;
    } else {
        throw InputError(
            fmt::format("{0} has no {1}; add an attribute {1} such as \"2 ft\"", where, attribute));
    }
    const bool sound = length <= tallest_m && (may_lack ? length >= 0 : length > 0);
    if (!sound)
        throw InputError(fmt::format("{}: a {} of {:.4g} m can't be; it must lie above 0 and up to 100 m",
                                     where, attribute, length));
    return length;
}

ChangeKind kind_of(OGRFeature& feature, const std::string& where) {
    const std::string kind = text_of(feature, "kind").value_or("");
    if (kind == "bank") return ChangeKind::bank;
    if (kind == "ditch") return ChangeKind::ditch;
    if (kind == "culvert") return ChangeKind::culvert;
    if (kind == "tile") return ChangeKind::tile;
    throw InputError(fmt::format("{}: kind is \"{}\"; write bank, ditch, culvert or tile", where, kind));
}

/// The line's corners as (column, row).
std::vector<std::array<double, 2>> corners_of(const OGRLineString& line, const GeoReference& geo) {
    GeoReference copy = geo;
    std::array<double, 6> inverse{};
    if (!GDALInvGeoTransform(copy.transform.data(), inverse.data()))
        throw RunError("the ground's position can't be inverted");
    std::vector<std::array<double, 2>> corners;
    for (const OGRPoint& point : line) {
        const double x = point.getX();
        const double y = point.getY();
        corners.push_back(
            {inverse[0] + x * inverse[1] + y * inverse[2], inverse[3] + x * inverse[4] + y * inverse[5]});
    }
    return corners;
}

/// One change for each line of the feature.
std::vector<GroundChange> changes_of(OGRFeature& feature, const gdal::ShapeLayer& layer,
                                     const GeoReference& geo, const std::string& where) {
    GroundChange change;
    change.name = where;
    change.kind = kind_of(feature, where);
    if (change.kind == ChangeKind::bank) change.height_m = length_of(feature, "height", false, where);
    if (change.kind != ChangeKind::bank)
        change.depth_m = length_of(feature, "depth", change.kind != ChangeKind::ditch, where);
    change.width_m = length_of(feature, "width", true, where);
    std::unique_ptr<OGRGeometry> shape(feature.StealGeometry());
    if (!shape || shape->getDimension() != 1) throw InputError(where + " must be a line; draw it as one");
    if (layer.to_ground && shape->transform(layer.to_ground.get()) != OGRERR_NONE)
        throw InputError(where + " can't be brought into the DEM's CRS");
    shape.reset(OGRGeometryFactory::forceToMultiLineString(shape.release()));
    std::vector<GroundChange> changes;
    for (const OGRLineString* line : *shape->toMultiLineString()) {
        changes.push_back(change);
        changes.back().line = corners_of(*line, geo);
        if (changes.back().line.size() < 2) throw InputError(where + " has fewer than two corners");
    }
    return changes;
}

}  // namespace

std::vector<GroundChange> read_ground_changes(const std::filesystem::path& path, const Grid& grid,
                                              const GeoReference& geo, std::vector<std::string>& notes) {
    const std::string file = gdal::display_name(path);
    const gdal::ShapeSource source(path, {"kind"}, "banks, ditches, culverts and tile lines", geo, notes);
    std::vector<GroundChange> all;
    for (const gdal::ShapeLayer& layer : source.layers()) {
        for (auto& feature : *layer.layer) {
            const std::string name =
                text_of(*feature, "name").value_or(fmt::format("line {}", feature->GetFID()));
            for (GroundChange& change :
                 changes_of(*feature, layer, geo, fmt::format("{}: \"{}\"", file, name))) {
                if (cells_along(grid, change).empty()) {
                    notes.push_back(fmt::format("{} lies outside the DEM and is left out", change.name));
                    continue;
                }
                all.push_back(std::move(change));
            }
        }
    }
    std::stable_partition(all.begin(), all.end(),
                          [](const GroundChange& c) { return c.kind == ChangeKind::bank; });
    return all;
}

}  // namespace lielow
