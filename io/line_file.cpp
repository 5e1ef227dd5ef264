// SPDX-License-Identifier: Apache-2.0
#include "io/line_file.hpp"

#include <fmt/format.h>

#include <array>
#include <memory>

#include "io/gdal_vector.hpp"
#include "sim/errors.hpp"

namespace lielow {
namespace {

Polyline on_grid(const OGRLineString& line, const Grid& grid, const std::array<double, 6>& inverse) {
    Polyline points;
    for (const OGRPoint& point : line) {
        const double x = point.getX();
        const double y = point.getY();
        points.push_back({(inverse[0] + x * inverse[1] + y * inverse[2]) * grid.dx,
                          (inverse[3] + x * inverse[4] + y * inverse[5]) * grid.dy});
    }
    return points;
}

}  // namespace

std::vector<NamedLine> read_named_lines(const std::filesystem::path& path, const Grid& grid,
                                        const GeoReference& geo, std::vector<std::string>& notes) {
    const std::string file = gdal::display_name(path);
    GeoReference copy = geo;
    std::array<double, 6> inverse{};
    if (!GDALInvGeoTransform(copy.transform.data(), inverse.data()))
        throw RunError("the ground's position can't be inverted");
    const gdal::ShapeSource source(path, {"name"}, "lines with the attribute name", geo, notes);
    std::vector<NamedLine> all;
    for (const gdal::ShapeLayer& layer : source.layers()) {
        for (auto& feature : *layer.layer) {
            const int index = feature->GetFieldIndex("name");
            const std::string name = gdal::one_line(feature->GetFieldAsString(index));
            const std::string where = fmt::format("{}: \"{}\"", file, name);
            std::unique_ptr<OGRGeometry> shape(feature->StealGeometry());
            if (!shape || shape->getDimension() != 1)
                throw InputError(where + " must be a line; draw it as one");
            if (layer.to_ground && shape->transform(layer.to_ground.get()) != OGRERR_NONE)
                throw InputError(where + " can't be brought into the DEM's CRS");
            shape.reset(OGRGeometryFactory::forceToMultiLineString(shape.release()));
            for (const OGRLineString* line : *shape->toMultiLineString())
                all.push_back({name, on_grid(*line, grid, inverse)});
        }
    }
    if (all.empty()) throw InputError(file + " holds no line");
    return all;
}

}  // namespace lielow
