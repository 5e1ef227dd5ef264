// SPDX-License-Identifier: Apache-2.0
#include "tools/site_soil.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>

#include "io/drain_lines.hpp"
#include "io/soil_map.hpp"
#include "sim/drain_layout.hpp"
#include "sim/errors.hpp"

namespace lielow {
namespace {

constexpr double pipe_radius_m = 0.05;
constexpr float unknown = std::numeric_limits<float>::quiet_NaN();

/// The map where it holds something, else the constant; NaN for neither.
Field<float> layer(const SiteRun& run, const std::optional<std::filesystem::path>& map,
                   const std::string& what, std::optional<Dimension> dimension,
                   std::optional<double> constant) {
    const Grid& grid = run.dem.ground.grid;
    const float even = constant ? static_cast<float>(*constant) : unknown;
    if (!map) return {grid.rows, grid.cols, even};
    Field<float> values = read_soil_map(*map, what, dimension, grid, run.dem.geo);
    for (float& value : values.all()) {
        if (std::isnan(value)) value = even;
    }
    return values;
}

/// van Beers' rule: percent = √(cm/day).
double porosity_from(double conductivity_m_s) {
    return std::clamp(std::sqrt(conductivity_m_s * 100 * 86400) / 100, 0.005, 0.35);
}

/// Runs a check over the cells with ground; the same value isn't checked again.
template <class Check>
void check_cells(const SiteRun& run, const Field<float>& values, const char* key, Check check) {
    float last = unknown;
    for (std::size_t c = 0; c < values.size(); ++c) {
        if (std::isnan(run.dem.ground.z[c]) || values[c] == last) continue;
        last = values[c];
        try {
            check(static_cast<double>(last));
        } catch (const InputError& error) {
            throw InputError(fmt::format("{}: {}: {}", run.site.file.string(), key,
                                         std::isnan(last) ? "the map leaves ground without a value; give the "
                                                            "constant as well"
                                                          : error.what()));
        }
    }
}

void check_floor(double depth_m) {
    if (!(depth_m >= 0.05 && depth_m <= 50))
        throw InputError(
            fmt::format("a depth of {:.3g} m can't be; it must lie from 0.05 m to 50 m", depth_m));
}

}  // namespace

bool has_soil(const Site& site) {
    return site.soil.conductivity_m_s || site.soil.conductivity_map;
}

Soil site_soil(const SiteRun& run) {
    const SoilSettings& s = run.site.soil;
    Soil soil;
    soil.conductivity_m_s =
        layer(run, s.conductivity_map, "conductivity", Dimension::speed, s.conductivity_m_s);
    check_cells(run, soil.conductivity_m_s, "soil.conductivity", check_conductivity);
    soil.drainable_porosity =
        layer(run, s.drainable_porosity_map, "drainable porosity", std::nullopt, s.drainable_porosity);
    for (std::size_t c = 0; c < soil.drainable_porosity.size(); ++c) {
        float& porosity = soil.drainable_porosity[c];
        if (std::isnan(porosity))
            porosity = static_cast<float>(porosity_from(static_cast<double>(soil.conductivity_m_s[c])));
    }
    check_cells(run, soil.drainable_porosity, "soil.drainable_porosity", check_drainable_porosity);
    soil.floor_depth_m =
        layer(run, s.floor_depth_map, "depth of the restrictive layer", Dimension::length, s.floor_depth_m);
    check_cells(run, soil.floor_depth_m, "soil.floor_depth", check_floor);
    return soil;
}

GroundDrains site_drains(SiteRun& run, const Soil& soil, bool with_pattern) {
    const DrainSettings& settings = run.site.drain;
    const Grid& grid = run.dem.ground.grid;
    GroundDrains drains;
    if (settings.lines) {
        std::vector<std::string> told;  // once is enough
        auto& notes = with_pattern ? told : run.summary.notes;
        const auto lines = read_drain_lines(*settings.lines, grid, run.dem.geo, notes);
        lay_lines(grid, soil, lines, drains);
    }
    if (with_pattern && settings.spacing_m) {
        for (const FarmField& field : run.fields)
            lay_pattern(grid, soil, field.cells, field.share, settings.pipe_depth_m, *settings.spacing_m,
                        pipe_radius_m, drains);
    }
    return drains;
}

}  // namespace lielow
