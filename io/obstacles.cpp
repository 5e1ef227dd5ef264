// SPDX-License-Identifier: Apache-2.0
#include "io/obstacles.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "io/gdal_coverage.hpp"
#include "io/gdal_obstacle.hpp"
#include "io/gdal_outline.hpp"
#include "io/gdal_remedy.hpp"
#include "sim/errors.hpp"

namespace lielow {
namespace {

using gdal::ObstacleShape;
using gdal::ShapeRole;

/// What opens obstacles, and whether it met one.
struct Opener {
    const ObstacleShape* shape = nullptr;
    std::unique_ptr<OGRGeometry> area;
    bool met = false;

    [[nodiscard]] double openness(const ObstacleShape& obstacle) const {
        if (shape->role() == ShapeRole::gap) return 1;
        return obstacle.openness +
               (1 - obstacle.openness) * std::min(1.0, shape->height_m / obstacle.height_m);
    }
};

std::vector<Opener> openers_of(const std::vector<ObstacleShape>& shapes) {
    constexpr int corners = 16;  // of a quarter circle
    std::vector<Opener> openers;
    for (const ObstacleShape& shape : shapes) {
        if (shape.role() != ShapeRole::gap && shape.role() != ShapeRole::passage) continue;
        const bool flat = shape.geometry->getDimension() == 2;
        openers.push_back(
            {&shape,
             std::unique_ptr<OGRGeometry>(flat ? shape.geometry->clone()
                                               : shape.geometry->Buffer(shape.width_m / 2, corners)),
             false});
    }
    return openers;
}

Polyline polyline_of(const OGRLineString& line) {
    Polyline points;
    for (const OGRPoint& point : line) points.push_back({point.getX(), point.getY()});
    return points;
}

/// The stretches of `line` inside `area`, as distances along it.
std::vector<LineOpening> openings_on(const OGRLineString& line, const OGRGeometry& area, double openness) {
    std::vector<LineOpening> openings;
    std::unique_ptr<OGRGeometry> common(line.Intersection(&area));
    if (!common || common->IsEmpty() || common->getDimension() < 1) return openings;
    common.reset(OGRGeometryFactory::forceToMultiLineString(common.release()));
    if (wkbFlatten(common->getGeometryType()) != wkbMultiLineString) return openings;
    for (const OGRLineString* piece : *common->toMultiLineString()) {
        if (piece->IsEmpty()) continue;
        OGRPoint first;
        OGRPoint last;
        piece->StartPoint(&first);
        piece->EndPoint(&last);
        const double from = line.Project(&first);
        const double to = line.Project(&last);
        openings.push_back({std::min(from, to), std::max(from, to), openness});
    }
    return openings;
}

ObstacleLine line_of(const OGRLineString& line, const ObstacleShape& shape, std::vector<Opener>& openers) {
    ObstacleLine out{polyline_of(line), {}};
    for (Opener& opener : openers) {
        for (const LineOpening& opening : openings_on(line, *opener.area, opener.openness(shape))) {
            out.openings.push_back(opening);
            opener.met = true;
        }
    }
    return out;
}

CellShares shares_of(const OGRMultiPolygon& polygons, const Grid& grid) {
    gdal::Coverage coverage = gdal::coverage_of(polygons, polygons.get_Area(), grid, gdal::metres_on(grid));
    return {std::move(coverage.cells), std::move(coverage.share)};
}

ObstacleArea area_of(const OGRMultiPolygon& polygons, const ObstacleShape& shape, const Grid& grid,
                     std::vector<Opener>& openers) {
    const double area = polygons.get_Area();
    if (!(area > 0)) throw InputError(fmt::format("{} has no area", shape.where));
    ObstacleArea out;
    double perimeter = 0;
    for (const OGRPolygon* polygon : polygons) {
        for (const OGRLinearRing* ring : *polygon) {
            perimeter += ring->get_Length();
            out.outline.push_back(polyline_of(*ring));
        }
    }
    out.width_m = 2 * area / perimeter;
    out.where = shares_of(polygons, grid);
    for (Opener& opener : openers) {
        const std::unique_ptr<OGRGeometry> common(polygons.Intersection(opener.area.get()));
        const gdal::Polygons inside = common ? gdal::flat_polygons(*common) : nullptr;
        if (!inside) continue;
        opener.met = true;
        out.openings.push_back({shares_of(*inside, grid), opener.openness(shape)});
    }
    return out;
}

Obstacle standing_of(const ObstacleShape& shape, const Grid& grid, std::vector<Opener>& openers) {
    Obstacle obstacle;
    obstacle.name = shape.name;
    obstacle.kind = static_cast<ObstacleKind>(shape.kind);
    obstacle.height_m = shape.height_m;
    obstacle.openness = shape.openness;
    if (shape.geometry->getDimension() == 2) {
        obstacle.areas.push_back(area_of(*shape.geometry->toMultiPolygon(), shape, grid, openers));
    } else {
        for (const OGRLineString* line : *shape.geometry->toMultiLineString())
            obstacle.lines.push_back(line_of(*line, shape, openers));
    }
    return obstacle;
}

/// What touches no obstacle: a culvert or bridge drawn as a line leads through a bank in the DEM.
void open_the_ground(const ObstacleShape& shape, Obstacles& obstacles, std::vector<std::string>& notes) {
    if (shape.role() == ShapeRole::gap || shape.geometry->getDimension() != 1) {
        notes.push_back(fmt::format(
            "{} touches no obstacle and opens nothing{}", shape.where,
            shape.role() == ShapeRole::gap ? "" : "; draw it as a line from foot to foot of the DEM's bank"));
        return;
    }
    for (const OGRLineString* line : *shape.geometry->toMultiLineString())
        obstacles.passages.push_back({shape.name, polyline_of(*line), shape.width_m, shape.height_m});
}

void throw_if_all_outside(const gdal::ShapeReader& reader, std::size_t kept) {
    if (kept > 0 || reader.found == 0) return;
    throw InputError(
        fmt::format("{}: every {} lies outside the DEM; check the CRS of both", reader.file, reader.noun));
}

void read_belts(const std::filesystem::path& path, const Grid& grid, const GeoReference& geo,
                std::vector<std::string>& notes, std::vector<ObstacleShape>& shapes) {
    const gdal::PolygonSource source(path, "belts", "outlines of the tree belts", geo, notes);
    gdal::ShapeReader reader{gdal::display_name(path),
                             "belt",
                             static_cast<std::size_t>(ObstacleKind::tree_belt),
                             grid,
                             geo,
                             notes};
    const std::size_t before = shapes.size();
    for (auto& feature : source.layer()) {
        const OGRGeometry* geometry = feature->GetGeometryRef();
        if (geometry == nullptr || !gdal::flat_polygons(*geometry)) continue;
        if (auto shape = reader.read(*feature, source.crs(), source.to_ground()))
            shapes.push_back(std::move(*shape));
    }
    throw_if_all_outside(reader, shapes.size() - before);
    if (reader.found == 0) notes.push_back(fmt::format("{} holds no belt", reader.file));
}

void read_any(const std::filesystem::path& path, const Grid& grid, const GeoReference& geo,
              std::vector<std::string>& notes, std::vector<ObstacleShape>& shapes) {
    const gdal::ShapeSource source(path, {"kind"}, "obstacles, each with its kind", geo, notes);
    gdal::ShapeReader reader{gdal::display_name(path), "obstacle", std::nullopt, grid, geo, notes};
    const std::size_t before = shapes.size();
    for (const gdal::ShapeLayer& layer : source.layers()) {
        for (auto& feature : *layer.layer) {
            if (auto shape = reader.read(*feature, layer.crs, layer.to_ground.get()))
                shapes.push_back(std::move(*shape));
        }
    }
    throw_if_all_outside(reader, shapes.size() - before);
    if (reader.found == 0) notes.push_back(fmt::format("{} holds no obstacle", reader.file));
}

void read_remedies(const ObstacleFiles& files, const Grid& grid, const GeoReference& geo,
                   std::vector<std::string>& notes, std::vector<ObstacleShape>& shapes) {
    for (const Remedy& remedy : files.remedies) {
        if (!is_obstacle(remedy.kind)) continue;
        for (ObstacleShape& shape : gdal::remedy_shapes(remedy, files.site_file, grid, geo, notes))
            shapes.push_back(std::move(shape));
    }
}

/// In a file somebody else's gap may be left over; a remedy is meant to do something.
void refuse_idle_gap(const ObstacleShape& shape) {
    throw InputError(fmt::format(
        "{} is a gap that touches no belt, hedge, fence, bank or wall; move it onto one", shape.where));
}

}  // namespace

Obstacles read_obstacles(const ObstacleFiles& files, const Grid& grid, const GeoReference& geo,
                         std::vector<std::string>& notes) {
    std::vector<ObstacleShape> shapes;
    if (files.belts) read_belts(*files.belts, grid, geo, notes, shapes);
    if (files.obstacles) read_any(*files.obstacles, grid, geo, notes, shapes);
    const std::size_t found = shapes.size();
    read_remedies(files, grid, geo, notes, shapes);
    std::vector<Opener> openers = openers_of(shapes);
    Obstacles obstacles;
    for (const ObstacleShape& shape : shapes) {
        if (shape.role() == ShapeRole::standing)
            obstacles.standing.push_back(standing_of(shape, grid, openers));
        if (shape.role() != ShapeRole::fan) continue;
        for (const OGRPoint* point : *shape.geometry->toMultiPoint())
            obstacles.fans.push_back(
                {shape.name, {point->getX(), point->getY()}, shape.radius_m, shape.heat_w});
    }
    for (const Opener& opener : openers) {
        if (opener.met) continue;
        if (opener.shape >= shapes.data() + found) refuse_idle_gap(*opener.shape);
        open_the_ground(*opener.shape, obstacles, notes);
    }
    return obstacles;
}

std::string_view kind_name(ObstacleKind kind) {
    return gdal::shape_kinds()[static_cast<std::size_t>(kind)].name;
}

}  // namespace lielow
