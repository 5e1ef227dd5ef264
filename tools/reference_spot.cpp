// SPDX-License-Identifier: Apache-2.0
#include "tools/reference_spot.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <cmath>
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

ReferenceSpot spot_at(const Dem& dem, std::size_t cell, std::string text) {
    const auto cols = static_cast<std::size_t>(dem.ground.grid.cols);
    const std::size_t row = cell / cols;
    const std::size_t col = cell % cols;
    const auto middle = dem.geo.at(static_cast<double>(col) + 0.5, static_cast<double>(row) + 0.5);
    return {cell, middle[0], middle[1], std::move(text)};
}

}  // namespace

std::optional<std::size_t> cell_at(const Dem& dem, double x, double y) {
    const auto& t = dem.geo.transform;
    const double determinant = t[1] * t[5] - t[2] * t[4];
    const double col = ((x - t[0]) * t[5] - (y - t[3]) * t[2]) / determinant;
    const double row = ((y - t[3]) * t[1] - (x - t[0]) * t[4]) / determinant;
    const Grid& grid = dem.ground.grid;
    if (!(row >= 0 && row < grid.rows && col >= 0 && col < grid.cols)) return std::nullopt;
    const std::size_t cell = grid.index(static_cast<std::int32_t>(row), static_cast<std::int32_t>(col));
    if (dem.ground.known[cell] == 0) return std::nullopt;
    return cell;
}

ReferenceSpot find_reference_spot(const Site& site, const Dem& dem, const std::vector<FarmField>& fields) {
    const std::string& wanted = site.night.reference;
    const auto refuse = [&site](const std::string& what) {
        throw InputError(fmt::format("{}: night.reference: {}", site.file.string(), what));
    };
    if (const auto position = map_position(wanted)) {
        const auto cell = cell_at(dem, position->first, position->second);
        if (!cell) refuse(fmt::format("the DEM has no ground at {}", wanted));
        return spot_at(dem, *cell, fmt::format("map position {}", wanted));
    }
    std::vector<const FarmField*> candidates;
    std::vector<std::string> names;
    for (const FarmField& field : fields) {
        names.push_back(field.name);
        if (wanted == "highest" || field.name == wanted) candidates.push_back(&field);
    }
    if (candidates.empty())
        refuse(fmt::format("no field is named \"{}\"; there are {}", wanted, fmt::join(names, ", ")));
    const auto highest = highest_cell(dem.ground, candidates);
    if (!highest) refuse("the DEM has no ground inside the fields");
    if (!site.ground.fields) return spot_at(dem, highest->cell, "highest ground");
    const bool of_all = wanted == "highest";
    return spot_at(dem, highest->cell,
                   of_all ? fmt::format("highest ground inside the fields, in {}", highest->field->name)
                          : fmt::format("highest ground of {}", wanted));
}

}  // namespace lielow
