// SPDX-License-Identifier: Apache-2.0
#include "io/drain_lines.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <optional>

#include "io/gdal_vector.hpp"
#include "io/quantity.hpp"
#include "sim/errors.hpp"

namespace lielow {
namespace {

constexpr double deepest_m = 6;
constexpr double widest_pipe_m = 1.5;
constexpr double farthest_m = 500;
constexpr double usual_diameter_m = 4 * 0.0254;

std::optional<std::string> text_of(const OGRFeature& feature, const std::string& attribute) {
    const int index = feature.GetFieldIndex(attribute.c_str());
    if (index < 0 || !feature.IsFieldSetAndNotNull(index)) return std::nullopt;
    return gdal::one_line(const_cast<OGRFeature&>(feature).GetFieldAsString(index));
}

/// `attribute` with its unit, or `attribute`_m as a number.
std::optional<double> length_of(const OGRFeature& feature, const std::string& attribute, double most,
                                const std::string& where) {
    std::optional<double> value;
    const std::string plain = attribute + "_m";
    if (const auto text = text_of(feature, attribute)) {
        try {
            value = parse_quantity(*text, Dimension::length);
        } catch (const InputError& error) {
            throw InputError(fmt::format("{}: {}: {}", where, attribute, error.what()));
        }
    } else if (text_of(feature, plain)) {
        value = const_cast<OGRFeature&>(feature).GetFieldAsDouble(feature.GetFieldIndex(plain.c_str()));
    }
    if (value && !(*value > 0 && *value <= most)) {
        throw InputError(fmt::format("{}: a {} of {:.4g} m can't be; it must lie above 0 and up to {:g} m",
                                     where, attribute, *value, most));
    }
    return value;
}

bool is_ditch(const OGRFeature& feature, const std::string& where) {
    const std::string kind = text_of(feature, "kind").value_or("pipe");
    if (kind == "pipe" || kind == "ditch") return kind == "ditch";
    throw InputError(fmt::format("{}: unknown kind \"{}\"; write pipe or ditch", where, kind));
}

/// Lines of the feature on the ground's cells; empty when it has none.
std::vector<Polyline> lines_of(const OGRFeature& feature, OGRCoordinateTransformation* to_ground,
                               const Grid& grid, const GeoReference& geo, const std::string& where) {
    const OGRGeometry* geometry = feature.GetGeometryRef();
    if (geometry == nullptr || geometry->IsEmpty() || geometry->getDimension() != 1) return {};
    std::unique_ptr<OGRGeometry> flat(geometry->getLinearGeometry());
    flat->flattenTo2D();
    flat.reset(OGRGeometryFactory::forceToMultiLineString(flat.release()));
    if (wkbFlatten(flat->getGeometryType()) != wkbMultiLineString) return {};
    if (to_ground != nullptr && flat->transform(to_ground) != OGRERR_NONE)
        throw InputError(fmt::format("{} can't be brought into the DEM's CRS", where));
    std::vector<Polyline> lines;
    for (const OGRLineString* line : *flat->toMultiLineString())
        lines.push_back(gdal::on_grid(*line, grid, geo));
    return lines;
}

bool touches(const DrainLine& line, const Grid& grid) {
    return std::any_of(line.lines.begin(), line.lines.end(),
                       [&](const Polyline& part) { return !line_cells(part, grid).empty(); });
}

}  // namespace

std::vector<DrainLine> read_drain_lines(const std::filesystem::path& path, const Grid& grid,
                                        const GeoReference& geo, std::vector<std::string>& notes) {
    const std::string file = gdal::display_name(path);
    const gdal::ShapeSource source(path, {}, "drains", geo, notes);
    std::vector<DrainLine> drains;
    std::size_t found = 0;
    for (const gdal::ShapeLayer& layer : source.layers()) {
        for (auto& feature : *layer.layer) {
            DrainLine drain;
            drain.name = text_of(*feature, "name").value_or(fmt::format("drain {}", found + 1));
            const std::string where = fmt::format("{}: drain \"{}\"", file, drain.name);
            drain.lines = lines_of(*feature, layer.to_ground.get(), grid, geo, where);
            if (drain.lines.empty()) continue;
            ++found;
            drain.ditch = is_ditch(*feature, where);
            const auto depth = length_of(*feature, "depth", deepest_m, where);
            if (!depth) {
                throw InputError(
                    fmt::format("{} has no depth; add an attribute depth such as \"3 ft\"", where));
            }
            drain.depth_m = *depth;
            drain.radius_m =
                length_of(*feature, "diameter", widest_pipe_m, where).value_or(usual_diameter_m) / 2;
            drain.spacing_m = length_of(*feature, "spacing", farthest_m, where).value_or(0);
            if (touches(drain, grid)) {
                drains.push_back(std::move(drain));
            } else {
                notes.push_back(fmt::format("{} lies outside the DEM and is left out", where));
            }
        }
    }
    if (found == 0) throw InputError(fmt::format("{} holds no lines; draw the drains as lines", file));
    return drains;
}

}  // namespace lielow
