// SPDX-License-Identifier: Apache-2.0
#include "io/remedy_ground.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <functional>
#include <iterator>
#include <memory>

#include "io/gdal_coverage.hpp"
#include "io/gdal_outline.hpp"
#include "io/gdal_remedy.hpp"
#include "io/nearest_name.hpp"
#include "sim/errors.hpp"

namespace lielow {
namespace {

std::string where_of(const Remedy& remedy, const std::string& file) {
    return fmt::format("{}: remedy \"{}\"", file, remedy.name);
}

/// Points each by itself, or one line through all.
std::vector<std::unique_ptr<OGRGeometry>> shapes_at(const Remedy& remedy) {
    std::vector<std::unique_ptr<OGRGeometry>> shapes;
    if (remedy.kind == RemedyKind::gap || remedy.kind == RemedyKind::fan) {
        for (const auto& [x, y] : remedy.at) shapes.push_back(std::make_unique<OGRPoint>(x, y));
        return shapes;
    }
    auto line = std::make_unique<OGRLineString>();
    for (const auto& [x, y] : remedy.at) line->addPoint(x, y);
    shapes.push_back(std::move(line));
    return shapes;
}

using UseShape = std::function<void(const OGRGeometry&, const OGRSpatialReference&,
                                    OGRCoordinateTransformation* to_ground)>;

/// Calls `use` for every shape of the remedy, in the CRS it is drawn in.
void each_shape(const Remedy& remedy, const std::string& file, const GeoReference& geo,
                std::vector<std::string>& notes, const UseShape& use) {
    if (!remedy.file) {
        gdal::start();
        const OGRSpatialReference crs = gdal::crs_from(geo.wkt);
        for (const auto& shape : shapes_at(remedy)) use(*shape, crs, nullptr);
        return;
    }
    std::size_t found = 0;
    const gdal::ShapeSource source(*remedy.file, {}, "shapes of a remedy", geo, notes);
    for (const gdal::ShapeLayer& layer : source.layers()) {
        for (auto& feature : *layer.layer) {
            const OGRGeometry* shape = feature->GetGeometryRef();
            if (shape == nullptr || shape->IsEmpty()) continue;
            ++found;
            use(*shape, layer.crs, layer.to_ground.get());
        }
    }
    if (found == 0)
        throw InputError(
            fmt::format("{}: {} holds no shapes", where_of(remedy, file), gdal::display_name(*remedy.file)));
}

struct DefinitionRelease {
    void operator()(OGRFeatureDefn* definition) const { definition->Release(); }
};
using Definition = std::unique_ptr<OGRFeatureDefn, DefinitionRelease>;

Definition attributes() {
    Definition definition(new OGRFeatureDefn("remedy"));
    definition->Reference();
    for (const char* name : {"name", "kind"}) {
        OGRFieldDefn field(name, OFTString);
        definition->AddFieldDefn(&field);
    }
    for (const char* name : {"height_m", "openness", "width_m", "radius_m", "heat_w"}) {
        OGRFieldDefn field(name, OFTReal);
        definition->AddFieldDefn(&field);
    }
    return definition;
}

void set_attributes(const Remedy& remedy, OGRFeature& feature) {
    feature.SetField("name", remedy.name.c_str());
    feature.SetField("kind", std::string(remedy_kind_name(remedy.kind)).c_str());
    const auto set = [&](const char* name, const std::optional<double>& value) {
        if (value) feature.SetField(name, *value);
    };
    set("height_m", remedy.height_m);
    set("openness", remedy.openness);
    set("width_m", remedy.width_m);
    set("radius_m", remedy.radius_m);
    set("heat_w", remedy.heat_w);
}

FarmField& field_named(const Remedy& remedy, const std::string& name, const std::string& file,
                       std::vector<FarmField>& fields) {
    std::vector<std::string_view> names;
    for (FarmField& field : fields) {
        if (field.name == name) return field;
        names.push_back(field.name);
    }
    throw InputError(fmt::format(R"({}: there is no field "{}"; the nearest is "{}")", where_of(remedy, file),
                                 name, nearest_name(name, names)));
}

/// The field's outline, so far east and north.
gdal::Polygons shifted(const FarmField& field, double east, double north) {
    OGRGeometry* made = nullptr;
    if (OGRGeometryFactory::createFromWkb(field.outline_wkb.data(), nullptr, &made,
                                          field.outline_wkb.size()) != OGRERR_NONE)
        throw RunError("a field's outline can't be read back");
    const std::unique_ptr<OGRGeometry> outline(made);
    auto moved = std::make_unique<OGRMultiPolygon>();
    for (const OGRPolygon* polygon : *outline->toMultiPolygon()) {
        OGRPolygon copy(*polygon);
        for (OGRLinearRing* ring : copy) {
            for (OGRPoint& point : *ring) {
                point.setX(point.getX() + east);
                point.setY(point.getY() + north);
            }
        }
        moved->addGeometry(&copy);
    }
    return moved;
}

void lay_outline(const gdal::Polygons& outline, const std::string& where, const Grid& grid,
                 const GeoReference& geo, FarmField& field) {
    field.area_m2 = outline->get_Area() * geo.metres_per_unit * geo.metres_per_unit;
    field.outline_wkb = gdal::wkb_of(*outline);
    if (!outline->Intersects(gdal::extent_of(grid, geo).get()))
        throw InputError(fmt::format("{}: the field would lie outside the DEM", where));
    gdal::Coverage coverage = gdal::coverage_of(*outline, field.area_m2, grid, geo);
    field.cells = std::move(coverage.cells);
    field.share = std::move(coverage.share);
}

}  // namespace

std::vector<gdal::ObstacleShape> gdal::remedy_shapes(const Remedy& remedy, const std::string& file,
                                                     const Grid& grid, const GeoReference& geo,
                                                     std::vector<std::string>& notes) {
    std::vector<ObstacleShape> shapes;
    const Definition definition = attributes();
    std::vector<std::string> own_notes;
    ShapeReader reader{file, "remedy", std::nullopt, grid, geo, own_notes};
    each_shape(
        remedy, file, geo, notes,
        [&](const OGRGeometry& geometry, const OGRSpatialReference& crs,
            OGRCoordinateTransformation* to_ground) {
            if (remedy.kind == RemedyKind::gap && geometry.getDimension() < 2 && !remedy.width_m)
                throw InputError(where_of(remedy, file) + R"(: width is missing; write width = "20 ft")");
            OGRFeature feature(definition.get());
            set_attributes(remedy, feature);
            feature.SetGeometry(&geometry);
            auto shape = reader.read(feature, crs, to_ground);
            if (!shape) throw InputError(where_of(remedy, file) + " lies outside the DEM; check where it is");
            shapes.push_back(std::move(*shape));
        });
    std::move(own_notes.begin(), own_notes.end(), std::back_inserter(notes));
    return shapes;
}

std::vector<GroundChange> remedy_ditches(const Remedy& remedy, const std::string& file, const Grid& grid,
                                         const GeoReference& geo, std::vector<std::string>& notes) {
    std::vector<GroundChange> ditches;
    const std::string where = where_of(remedy, file);
    each_shape(remedy, file, geo, notes,
               [&](const OGRGeometry& geometry, const OGRSpatialReference& /*crs*/,
                   OGRCoordinateTransformation* to_ground) {
                   if (geometry.getDimension() != 1)
                       throw InputError(where + " must be a line; draw it as one");
                   std::unique_ptr<OGRGeometry> flat(geometry.getLinearGeometry());
                   flat->flattenTo2D();
                   flat.reset(OGRGeometryFactory::forceToMultiLineString(flat.release()));
                   if (to_ground != nullptr && flat->transform(to_ground) != OGRERR_NONE)
                       throw InputError(where + " can't be brought into the DEM's CRS");
                   for (const OGRLineString* line : *flat->toMultiLineString()) {
                       GroundChange ditch{where, ChangeKind::tile};
                       ditch.depth_m = *remedy.depth_m;
                       ditch.width_m = remedy.width_m.value_or(0);
                       for (const GroundPoint& p : gdal::on_grid(*line, grid, geo))
                           ditch.line.push_back({p.x / grid.dx, p.y / grid.dy});
                       if (cells_along(grid, ditch).empty())
                           throw InputError(where + " lies outside the DEM; check where it is");
                       ditches.push_back(std::move(ditch));
                   }
               });
    return ditches;
}

void move_field(const Remedy& remedy, const std::string& file, const Grid& grid, const GeoReference& geo,
                std::vector<FarmField>& fields, std::vector<std::string>& notes) {
    gdal::start();
    FarmField& field = field_named(remedy, remedy.fields.front(), file, fields);
    const std::string where = where_of(remedy, file);
    if (remedy.file) {
        std::vector<FarmField> outlines = read_fields(*remedy.file, grid, geo, notes);
        if (outlines.size() != 1)
            throw InputError(fmt::format("{}: {} must hold one outline, where the field would lie", where,
                                         gdal::display_name(*remedy.file)));
        outlines.front().name = field.name;
        field = std::move(outlines.front());
        return;
    }
    const double east_m = remedy.east_m.value_or(0);
    const double north_m = remedy.north_m.value_or(0);
    if (east_m == 0 && north_m == 0) return;
    lay_outline(shifted(field, east_m / geo.metres_per_unit, north_m / geo.metres_per_unit), where, grid, geo,
                field);
}

void check_remedy_fields(const Remedy& remedy, const std::string& file,
                         const std::vector<FarmField>& fields) {
    std::vector<FarmField> named(fields.size());
    for (std::size_t i = 0; i < fields.size(); ++i) named[i].name = fields[i].name;
    for (const std::string& name : remedy.fields) field_named(remedy, name, file, named);
}

}  // namespace lielow
