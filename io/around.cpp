// SPDX-License-Identifier: Apache-2.0
#include "io/around.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>

#include "io/gdal_session.hpp"
#include "io/gdal_warp.hpp"
#include "sim/errors.hpp"

namespace lielow {
namespace {

constexpr double kMostLift = 5.0;          // m
constexpr double kLeastKnown = 0.8;        // of an outermost row or column
constexpr double kLeastCovered = 0.9;      // of the farm
constexpr std::int32_t kFewestBeyond = 2;  // cells on each side: what the nested night's edge reads

/// Rows and columns of a surround that are kept.
struct Extent {
    std::int32_t top = 0;
    std::int32_t bottom = 0;  // one past the last
    std::int32_t left = 0;
    std::int32_t right = 0;
};

/// The surround's grid about the farm, `reach` on every side, still without heights.
Surround empty_surround(const Grid& farm, const Blocks& cell, double reach) {
    Surround s;
    s.cell = cell;
    const Grid covered = block_grid(farm, cell);
    s.first_row = std::max(kFewestBeyond, static_cast<std::int32_t>(std::ceil(reach / covered.dy)));
    s.first_col = std::max(kFewestBeyond, static_cast<std::int32_t>(std::ceil(reach / covered.dx)));
    s.ground.grid = {covered.rows + 2 * s.first_row, covered.cols + 2 * s.first_col, covered.dx, covered.dy};
    s.ground.z = Field<float>(s.ground.grid.rows, s.ground.grid.cols);
    return s;
}

std::array<double, 6> transform_of(const Surround& s, const GeoReference& farm) {
    const auto corner = farm.at(-1.0 * s.first_col * s.cell.cols, -1.0 * s.first_row * s.cell.rows);
    const auto& t = farm.transform;
    return {corner[0], t[1] * s.cell.cols, t[2] * s.cell.rows,
            corner[1], t[4] * s.cell.cols, t[5] * s.cell.rows};
}

/// Share of the cells with a height, of the outermost line on each side: top, bottom, left, right.
std::array<double, 4> known_on_sides(const Field<float>& z, const Extent& w) {
    const auto share = [&](std::int32_t top, std::int32_t bottom, std::int32_t left, std::int32_t right) {
        int known = 0;
        int all = 0;
        for (std::int32_t j = top; j < bottom; ++j) {
            for (std::int32_t i = left; i < right; ++i, ++all) known += std::isnan(z(j, i)) ? 0 : 1;
        }
        return all > 0 ? static_cast<double>(known) / all : 1.0;
    };
    return {share(w.top, w.top + 1, w.left, w.right), share(w.bottom - 1, w.bottom, w.left, w.right),
            share(w.top, w.bottom, w.left, w.left + 1), share(w.top, w.bottom, w.right - 1, w.right)};
}

/// Takes lines off the sides until each is mostly known.
Extent known_window(const Field<float>& z) {
    Extent w{0, z.rows(), 0, z.cols()};
    while (w.bottom - w.top > 1 && w.right - w.left > 1) {
        const auto shares = known_on_sides(z, w);
        const auto worst = std::min_element(shares.begin(), shares.end());
        if (*worst >= kLeastKnown) break;
        switch (worst - shares.begin()) {
            case 0:
                ++w.top;
                break;
            case 1:
                --w.bottom;
                break;
            case 2:
                ++w.left;
                break;
            default:
                --w.right;
        }
    }
    return w;
}

void cut(Surround& s, const Extent& w) {
    Field<float> z(w.bottom - w.top, w.right - w.left);
    for (std::int32_t j = 0; j < z.rows(); ++j) {
        for (std::int32_t i = 0; i < z.cols(); ++i) z(j, i) = s.ground.z(w.top + j, w.left + i);
    }
    s.ground.z = std::move(z);
    s.ground.grid.rows = w.bottom - w.top;
    s.ground.grid.cols = w.right - w.left;
    s.first_row -= w.top;
    s.first_col -= w.left;
}

/// How much higher the farm's ground is, m, in every cell of the surround that both know; NaN in farm cells
/// that only the farm knows.
std::vector<double> rises_of_farm(const Surround& s, const Ground& farm) {
    Surround farm_only{{s.ground.grid, Field<float>(s.ground.z.rows(), s.ground.z.cols(), NAN), {}},
                       s.cell,
                       s.first_row,
                       s.first_col};
    lay_farm(farm_only, farm);
    std::vector<double> rises;
    for (std::size_t c = 0; c < s.ground.z.size(); ++c) {
        if (std::isnan(farm_only.ground.z[c])) continue;
        rises.push_back(static_cast<double>(farm_only.ground.z[c]) - static_cast<double>(s.ground.z[c]));
    }
    return rises;
}

double median(std::vector<double> values) {
    const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
    std::nth_element(values.begin(), middle, values.end());
    return *middle;
}

/// What is to be added to the surround's heights.
double lift_of(const Surround& s, const Ground& farm, const std::string& file, const std::string& farm_file) {
    std::vector<double> rises = rises_of_farm(s, farm);
    const auto all = static_cast<double>(rises.size());
    std::erase_if(rises, [](double rise) { return std::isnan(rise); });
    if (static_cast<double>(rises.size()) < kLeastCovered * all) {
        throw InputError(
            fmt::format("{} leaves out {:.0f} % of the ground of {}; the ground around must hold the farm",
                        file, 100 * (1 - static_cast<double>(rises.size()) / all), farm_file));
    }
    const double lift = median(std::move(rises));
    if (std::abs(lift) > kMostLift) {
        throw InputError(
            fmt::format("{} lies {:.1f} m {} than {} where both know the ground (median); bring both to one "
                        "vertical datum, or "
                        "set around_vertical_unit under [ground]",
                        file, std::abs(lift), lift < 0 ? "higher" : "lower", farm_file));
    }
    return lift;
}

/// A farm that is no more than one of the surround's cells says nothing about the ground beyond it.
void refuse_wide_cells(const Dem& wide, const Dem& farm, const std::string& file,
                       const std::string& farm_file) {
    const Grid& own = farm.ground.grid;
    const double cell = std::max(wide.ground.grid.dx, wide.ground.grid.dy);
    const double side = std::min(own.cols * own.dx, own.rows * own.dy);
    if (cell > side) {
        throw InputError(fmt::format(
            "{} has cells of {:.4g} m, wider than {} ({:.4g} m); take finer elevations for the ground "
            "around",
            file, cell, farm_file, side));
    }
}

void measure_reach(const Grid& farm, Around& around) {
    const Surround& s = around.surround;
    const Grid& wide = s.ground.grid;
    around.west_m = s.east_m();
    around.north_m = s.south_m();
    around.east_m = wide.cols * wide.dx - around.west_m - farm.cols * farm.dx;
    around.south_m = wide.rows * wide.dy - around.north_m - farm.rows * farm.dy;
}

}  // namespace

double around_reach_m(const Grid& farm) {
    return std::max(3000.0, 3 * std::max(farm.cols * farm.dx, farm.rows * farm.dy));
}

Around read_around(const AroundRequest& request, const Dem& farm, const std::string& farm_file) {
    const Dem wide = read_dem_with_holes({request.path, request.vertical_unit, request.crs, 0, "around_"});
    const std::string file = gdal::display_name(request.path);
    refuse_wide_cells(wide, farm, file, farm_file);
    const Grid& fine = farm.ground.grid;
    const Blocks cell{
        std::max(request.finest.rows, static_cast<std::int32_t>(std::lround(wide.ground.grid.dy / fine.dy))),
        std::max(request.finest.cols, static_cast<std::int32_t>(std::lround(wide.ground.grid.dx / fine.dx)))};
    Around around;
    around.notes = wide.notes;
    Surround& s = around.surround;
    s = empty_surround(fine, cell, request.reach_m);
    gdal::warp_onto(wide.ground.z, wide.geo.transform, gdal::crs_from(wide.geo.wkt),
                    wide.ground.grid.cell_area() < s.ground.grid.cell_area(), s.ground.z,
                    transform_of(s, farm.geo), gdal::crs_from(farm.geo.wkt), file);
    const Grid covered = block_grid(fine, cell);
    const Extent window = known_window(s.ground.z);
    if (window.top > s.first_row - kFewestBeyond || window.left > s.first_col - kFewestBeyond ||
        window.bottom < s.first_row + covered.rows + kFewestBeyond ||
        window.right < s.first_col + covered.cols + kFewestBeyond) {
        throw InputError(
            fmt::format("{} must reach beyond {} on every side; take a larger piece, at best up to the "
                        "ridges around the farm",
                        file, farm_file));
    }
    cut(s, window);
    around.lift_m = lift_of(s, farm.ground, file, farm_file);
    for (float& z : s.ground.z.all()) z += static_cast<float>(around.lift_m);
    lay_farm(s, farm.ground);
    s.ground.known = Field<std::uint8_t>(s.ground.z.rows(), s.ground.z.cols());
    for (std::size_t c = 0; c < s.ground.z.size(); ++c) s.ground.known[c] = std::isnan(s.ground.z[c]) ? 0 : 1;
    measure_reach(fine, around);
    around.notes.push_back(fmt::format(
        "{}: reaches {:.0f} m west, {:.0f} m east, {:.0f} m north and {:.0f} m south of {} as far as it is "
        "used; its "
        "heights are moved by {:+.2f} m to meet the farm's (median of the overlap)",
        file, around.west_m, around.east_m, around.north_m, around.south_m, farm_file, around.lift_m));
    return around;
}

}  // namespace lielow
