// SPDX-License-Identifier: Apache-2.0
#include "io/gdal_coverage.hpp"

#include <gdal_alg.h>

#include <algorithm>
#include <cmath>

#include "io/gdal_outline.hpp"
#include "io/gdal_session.hpp"
#include "sim/errors.hpp"

namespace lielow::gdal {
namespace {

constexpr std::int32_t kFine = 4;                          // points a side of a cell
constexpr std::size_t kStripCells = std::size_t{1} << 20;  // 16 MB of points

/// From map to points: point (0, 0) is the first of cell (row0, col0).
struct ToPoints {
    std::array<double, 6> inverse{};
    double col0 = 0;
    double row0 = 0;
};

std::array<double, 2> cell_position(const std::array<double, 6>& inverse, double x, double y) {
    return {inverse[0] + x * inverse[1] + y * inverse[2], inverse[3] + x * inverse[4] + y * inverse[5]};
}

int to_points(void* argument, int /*inverse*/, int count, double* x, double* y, double* /*z*/, int* done) {
    const auto& map = *static_cast<const ToPoints*>(argument);
    for (int i = 0; i < count; ++i) {
        const auto at = cell_position(map.inverse, x[i], y[i]);
        x[i] = (at[0] - map.col0) * kFine;
        y[i] = (at[1] - map.row0) * kFine;
        done[i] = TRUE;
    }
    return TRUE;
}

struct Window {
    std::int32_t row0 = 0, row1 = 0, col0 = 0, col1 = 0;  // half open
    [[nodiscard]] std::int32_t cols() const { return col1 - col0; }
};

Window window_of(const OGRGeometry& polygon, const std::array<double, 6>& inverse, const Grid& grid) {
    OGREnvelope box;
    polygon.getEnvelope(&box);
    double least_col = grid.cols, greatest_col = 0, least_row = grid.rows, greatest_row = 0;
    for (const double x : {box.MinX, box.MaxX}) {
        for (const double y : {box.MinY, box.MaxY}) {
            const auto at = cell_position(inverse, x, y);
            least_col = std::min(least_col, at[0]);
            greatest_col = std::max(greatest_col, at[0]);
            least_row = std::min(least_row, at[1]);
            greatest_row = std::max(greatest_row, at[1]);
        }
    }
    const auto within = [](double v, std::int32_t most) {
        return static_cast<std::int32_t>(std::clamp(v, 0.0, double(most)));
    };
    return {within(std::floor(least_row), grid.rows), within(std::ceil(greatest_row), grid.rows),
            within(std::floor(least_col), grid.cols), within(std::ceil(greatest_col), grid.cols)};
}

void burn(const OGRGeometry& polygon, const ToPoints& map, Field<std::uint8_t>& points) {
    const Errors errors;
    std::fill(points.all().begin(), points.all().end(), std::uint8_t{0});
    const Dataset target = over_buffer(points.data(), points.rows(), points.cols(), GDT_Byte);
    int band = 1;
    double value = 1;
    OGRGeometryH geometry = OGRGeometry::ToHandle(const_cast<OGRGeometry*>(&polygon));
    if (GDALRasterizeGeometries(GDALDataset::ToHandle(target.get()), 1, &band, 1, &geometry, to_points,
                                const_cast<ToPoints*>(&map), &value, nullptr, nullptr, nullptr) != CE_None) {
        throw RunError("an outline could not be laid over the ground (" + errors.text() + ")");
    }
}

void count(const Field<std::uint8_t>& points, const Grid& grid, std::int32_t row0, std::int32_t col0,
           Coverage& coverage) {
    for (std::int32_t r = 0; r < points.rows() / kFine; ++r) {
        for (std::int32_t c = 0; c < points.cols() / kFine; ++c) {
            int inside = 0;
            for (std::int32_t i = 0; i < kFine; ++i) {
                for (std::int32_t j = 0; j < kFine; ++j) inside += points(r * kFine + i, c * kFine + j);
            }
            if (inside == 0) continue;
            coverage.cells.push_back(static_cast<std::uint32_t>(grid.index(row0 + r, col0 + c)));
            coverage.share.push_back(static_cast<float>(inside) / (kFine * kFine));
        }
    }
}

void add_middle(const OGRGeometry& polygon, const std::array<double, 6>& inverse, double area_m2,
                const Grid& grid, Coverage& coverage) {
    OGRPoint middle;
    if (polygon.Centroid(&middle) != OGRERR_NONE) return;
    const auto at = cell_position(inverse, middle.getX(), middle.getY());
    if (at[0] < 0 || at[1] < 0 || at[0] >= grid.cols || at[1] >= grid.rows) return;
    coverage.cells.push_back(static_cast<std::uint32_t>(
        grid.index(static_cast<std::int32_t>(at[1]), static_cast<std::int32_t>(at[0]))));
    coverage.share.push_back(static_cast<float>(std::min(1.0, area_m2 / grid.cell_area())));
}

/// Area of the polygon inside the ground, in cells.
double cells_inside(const OGRGeometry& polygon, const Grid& grid, const GeoReference& geo) {
    const auto& t = geo.transform;
    const std::unique_ptr<OGRGeometry> common(polygon.Intersection(extent_of(grid, geo).get()));
    const Polygons inside = common ? flat_polygons(*common) : nullptr;
    return inside ? inside->get_Area() / std::abs(t[1] * t[5] - t[2] * t[4]) : 0.0;
}

/// Without this a field that lies wholly under water would come out with a hundredth of an acre less or more
/// than its area.
void match_area(double cells_inside, Coverage& coverage) {
    double whole = 0;
    double cut = 0;
    for (const float share : coverage.share) (share < 1.0F ? cut : whole) += static_cast<double>(share);
    const double scale = cut > 0 ? (cells_inside - whole) / cut : 1.0;
    if (!(scale > 0.5 && scale < 2.0)) return;  // a sliver, narrower than the points stand apart
    for (float& share : coverage.share) {
        if (share < 1.0F) share = static_cast<float>(std::min(1.0, scale * static_cast<double>(share)));
    }
}

}  // namespace

Coverage coverage_of(const OGRGeometry& polygon, double area_m2, const Grid& grid, const GeoReference& geo) {
    ToPoints map;
    GeoReference copy = geo;
    if (!GDALInvGeoTransform(copy.transform.data(), map.inverse.data()))
        throw RunError("the ground's position can't be inverted");
    const Window window = window_of(polygon, map.inverse, grid);
    Coverage coverage;
    if (window.cols() > 0) {
        const auto strip = static_cast<std::int32_t>(
            std::max<std::size_t>(1, kStripCells / static_cast<std::size_t>(window.cols())));
        map.col0 = window.col0;
        for (std::int32_t row = window.row0; row < window.row1; row += strip) {
            Field<std::uint8_t> points(std::min(strip, window.row1 - row) * kFine, window.cols() * kFine);
            map.row0 = row;
            burn(polygon, map, points);
            count(points, grid, row, window.col0, coverage);
        }
    }
    match_area(cells_inside(polygon, grid, geo), coverage);
    if (coverage.cells.empty()) add_middle(polygon, map.inverse, area_m2, grid, coverage);
    return coverage;
}

}  // namespace lielow::gdal
