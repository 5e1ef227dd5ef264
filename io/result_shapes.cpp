// SPDX-License-Identifier: Apache-2.0
#include "io/result_shapes.hpp"

#include <fmt/format.h>
#include <ogrsf_frmts.h>

#include "io/gdal_position.hpp"
#include "io/gdal_session.hpp"
#include "sim/errors.hpp"

namespace lielow {
namespace {

/// From map coordinates to metres on the grid.
class OnGrid {
  public:
    OnGrid(const Grid& grid, const GeoReference& geo) : grid_(grid) {
        std::array<double, 6> forward = geo.transform;
        if (GDALInvGeoTransform(forward.data(), inverse_.data()) == 0)
            throw RunError("the ground's position can't be turned round");
    }
    [[nodiscard]] std::array<double, 2> place(double x, double y) const {
        return {(inverse_[0] + x * inverse_[1] + y * inverse_[2]) * grid_.dx,
                (inverse_[3] + x * inverse_[4] + y * inverse_[5]) * grid_.dy};
    }

  private:
    Grid grid_;
    std::array<double, 6> inverse_{};
};

void add_parts(const OGRGeometry& geometry, const OnGrid& on_grid, std::vector<ShapePart>& parts) {
    const auto add_line = [&](const OGRSimpleCurve& line) {
        ShapePart part;
        for (int n = 0; n < line.getNumPoints(); ++n)
            part.push_back(on_grid.place(line.getX(n), line.getY(n)));
        parts.push_back(std::move(part));
    };
    switch (wkbFlatten(geometry.getGeometryType())) {
        case wkbPoint:
            parts.push_back({on_grid.place(geometry.toPoint()->getX(), geometry.toPoint()->getY())});
            break;
        case wkbLineString:
            add_line(*geometry.toLineString());
            break;
        case wkbPolygon:
            for (const OGRLinearRing* ring : *geometry.toPolygon()) add_line(*ring);
            break;
        case wkbMultiPolygon:
        case wkbMultiLineString:
        case wkbMultiPoint:
        case wkbGeometryCollection:
            for (const OGRGeometry* part : *geometry.toGeometryCollection()) add_parts(*part, on_grid, parts);
            break;
        default:
            break;
    }
}

void add_attributes(const OGRFeature& feature, ResultShape& shape) {
    for (int n = 0; n < feature.GetFieldCount(); ++n) {
        if (!feature.IsFieldSetAndNotNull(n)) continue;
        const OGRFieldDefn& definition = *feature.GetFieldDefnRef(n);
        if (definition.GetType() == OFTString) {
            shape.words.emplace_back(definition.GetNameRef(), feature.GetFieldAsString(n));
        } else {
            shape.numbers.emplace_back(definition.GetNameRef(), feature.GetFieldAsDouble(n));
        }
    }
}

}  // namespace

std::vector<ResultShape> read_result_shapes(const std::filesystem::path& path, const std::string& layer,
                                            const Grid& grid, const GeoReference& geo) {
    gdal::start();
    const gdal::Errors errors;
    const gdal::Dataset dataset(GDALDataset::Open(path.c_str(), GDAL_OF_VECTOR | GDAL_OF_READONLY));
    if (!dataset) throw RunError(fmt::format("{} can't be read again: {}", path.string(), errors.text()));
    std::vector<ResultShape> shapes;
    OGRLayer* const source = dataset->GetLayerByName(layer.c_str());
    if (source == nullptr) return shapes;
    const OnGrid on_grid(grid, geo);
    for (const auto& feature : *source) {
        ResultShape shape;
        if (feature->GetGeometryRef() != nullptr) add_parts(*feature->GetGeometryRef(), on_grid, shape.parts);
        add_attributes(*feature, shape);
        shapes.push_back(std::move(shape));
    }
    return shapes;
}

std::array<double, 2> longitude_latitude_at(const GeoReference& geo, double col, double row) {
    return gdal::longitude_latitude(gdal::crs_from(geo.wkt), geo.at(col, row), "the report");
}

}  // namespace lielow
