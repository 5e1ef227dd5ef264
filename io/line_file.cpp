// SPDX-License-Identifier: Apache-2.0
#include "io/line_file.hpp"

#include <fmt/format.h>

#include <memory>

#include "io/gdal_vector.hpp"
#include "sim/errors.hpp"

namespace lielow {

std::vector<NamedLine> read_named_lines(const std::filesystem::path& path, const Grid& grid,
                                        const GeoReference& geo, std::vector<std::string>& notes) {
    const std::string file = gdal::display_name(path);
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
                all.push_back({name, gdal::on_grid(*line, grid, geo)});
        }
    }
    if (all.empty()) throw InputError(file + " holds no line");
    return all;
}

}  // namespace lielow
