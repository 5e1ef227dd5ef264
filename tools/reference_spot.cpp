// SPDX-License-Identifier: Apache-2.0
#include "tools/reference_spot.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <optional>

#include "sim/errors.hpp"

namespace lielow {
namespace {

struct Highest {
    std::size_t cell = 0;
    const FarmField* field = nullptr;
};

/// Highest known cell that lies at least half inside one of the fields; any cell partly inside when none
/// does.
std::optional<Highest> highest_cell(const Ground& ground, const std::vector<const FarmField*>& fields) {
    for (const float least_share : {0.5F, 0.0F}) {
        std::optional<Highest> best;
        for (const FarmField* field : fields) {
            for (std::size_t i = 0; i < field->cells.size(); ++i) {
                const std::size_t cell = field->cells[i];
                if (ground.known[cell] == 0 || field->share[i] < least_share) continue;
                const bool higher = !best || ground.z[cell] > ground.z[best->cell] ||
                                    (ground.z[cell] == ground.z[best->cell] && cell < best->cell);
                if (higher) best = Highest{cell, field};
            }
        }
        if (best) return best;
    }
    return std::nullopt;
}

ReferenceSpot spot_at(const Grid& grid, const GeoReference& geo, std::size_t cell, float elevation,
                      std::string text) {
    const auto cols = static_cast<std::size_t>(grid.cols);
    const std::size_t row = cell / cols;
    const std::size_t col = cell % cols;
    const auto middle = geo.at(static_cast<double>(col) + 0.5, static_cast<double>(row) + 0.5);
    return {cell, middle[0], middle[1], static_cast<double>(elevation), std::move(text)};
}

ReferenceSpot spot_at(const Dem& dem, std::size_t cell, std::string text) {
    return spot_at(dem.ground.grid, dem.geo, cell, dem.ground.z[cell], std::move(text));
}

/// Cell of the grid under a map position, whether it has ground or not.
std::optional<std::size_t> cell_under(const Grid& grid, const GeoReference& geo, double x, double y) {
    const auto& t = geo.transform;
    const double determinant = t[1] * t[5] - t[2] * t[4];
    const double col = ((x - t[0]) * t[5] - (y - t[3]) * t[2]) / determinant;
    const double row = ((y - t[3]) * t[1] - (x - t[0]) * t[4]) / determinant;
    if (!(row >= 0 && row < grid.rows && col >= 0 && col < grid.cols)) return std::nullopt;
    return grid.index(static_cast<std::int32_t>(row), static_cast<std::int32_t>(col));
}

struct HighestGround {
    std::size_t cell = 0;
    float elevation = std::numeric_limits<float>::quiet_NaN();
};

/// The first of the highest cells; NaN where there is no ground.
HighestGround highest_ground(const Grid& grid, const ReadWindow<float>& read, std::size_t most_cells) {
    HighestGround highest;
    const auto at_once = static_cast<std::int32_t>(std::clamp<std::size_t>(
        most_cells / static_cast<std::size_t>(grid.cols), 1, static_cast<std::size_t>(grid.rows)));
    for (std::int32_t row = 0; row < grid.rows; row += at_once) {
        const Window strip{row, 0, std::min(at_once, grid.rows - row), grid.cols};
        Field<float> heights(strip.rows, strip.cols);
        read(strip, heights);
        for (std::size_t c = 0; c < heights.size(); ++c) {
            if (heights[c] > highest.elevation || (std::isnan(highest.elevation) && !std::isnan(heights[c])))
                highest = {grid.index(row, 0) + c, heights[c]};
        }
    }
    return highest;
}

/// Throws an InputError about the key.
[[noreturn]] void refuse(const Site& site, const std::string& what) {
    throw InputError(fmt::format("{}: night.reference: {}", site.file.string(), what));
}

}  // namespace

std::optional<std::size_t> cell_at(const Dem& dem, double x, double y) {
    const auto cell = cell_under(dem.ground.grid, dem.geo, x, y);
    return cell && dem.ground.known[*cell] != 0 ? cell : std::nullopt;
}

ReferenceSpot find_reference_spot(const Site& site, const Grid& grid, const GeoReference& geo,
                                  const ReadWindow<float>& read, std::size_t most_cells) {
    const std::string& wanted = site.night.reference;
    if (const auto position = map_position(wanted)) {
        const auto cell = cell_under(grid, geo, position->first, position->second);
        Field<float> height(1, 1, std::numeric_limits<float>::quiet_NaN());
        const auto cols = static_cast<std::size_t>(grid.cols);
        if (cell)
            read({static_cast<std::int32_t>(*cell / cols), static_cast<std::int32_t>(*cell % cols), 1, 1},
                 height);
        if (std::isnan(height[0])) refuse(site, fmt::format("the DEM has no ground at {}", wanted));
        return spot_at(grid, geo, *cell, height[0], fmt::format("map position {}", wanted));
    }
    if (wanted != "highest")
        refuse(site,
               fmt::format("there are no fields here, and so none named \"{}\"; write \"highest\" or a map "
                           "position",
                           wanted));
    const HighestGround highest = highest_ground(grid, read, most_cells);
    if (std::isnan(highest.elevation)) throw InputError("the DEM has no cell with a value; give another one");
    return spot_at(grid, geo, highest.cell, highest.elevation, "highest ground");
}

ReferenceSpot find_reference_spot(const Site& site, const Dem& dem, const std::vector<FarmField>& fields) {
    const std::string& wanted = site.night.reference;
    if (const auto position = map_position(wanted)) {
        const auto cell = cell_at(dem, position->first, position->second);
        if (!cell) refuse(site, fmt::format("the DEM has no ground at {}", wanted));
        return spot_at(dem, *cell, fmt::format("map position {}", wanted));
    }
    std::vector<const FarmField*> candidates;
    std::vector<std::string> names;
    for (const FarmField& field : fields) {
        names.push_back(field.name);
        if (wanted == "highest" || field.name == wanted) candidates.push_back(&field);
    }
    if (candidates.empty())
        refuse(site, fmt::format("no field is named \"{}\"; there are {}", wanted, fmt::join(names, ", ")));
    const auto highest = highest_cell(dem.ground, candidates);
    if (!highest) refuse(site, "the DEM has no ground inside the fields");
    if (!site.ground.fields) return spot_at(dem, highest->cell, "highest ground");
    const bool of_all = wanted == "highest";
    return spot_at(dem, highest->cell,
                   of_all ? fmt::format("highest ground inside the fields, in {}", highest->field->name)
                          : fmt::format("highest ground of {}", wanted));
}

}  // namespace lielow
