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
Field<float> layer(const Dem& dem, const std::optional<std::filesystem::path>& map, const std::string& what,
                   std::optional<Dimension> dimension, std::optional<double> constant) {
    const Grid& grid = dem.ground.grid;
    const float even = constant ? static_cast<float>(*constant) : unknown;
    if (!map) return {grid.rows, grid.cols, even};
    Field<float> values = read_soil_map(*map, what, dimension, grid, dem.geo);
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
void check_cells(const Site& site, const Dem& dem, const Field<float>& values, const char* key, Check check) {
    float last = unknown;
    for (std::size_t c = 0; c < values.size(); ++c) {
        if (std::isnan(dem.ground.z[c]) || values[c] == last) continue;
        last = values[c];
        try {
            check(static_cast<double>(last));
        } catch (const InputError& error) {
            throw InputError(fmt::format("{}: {}: {}", site.file.string(), key,
                                         std::isnan(last) ? "the map leaves ground without a value; give the "
                                                            "constant as well"
                                                          : error.what()));
        }
    }
}

/// Within what can be a soil's.
void take_times(Field<float>& conductivity_m_s, double times) {
    if (times == 1) return;
    for (float& k : conductivity_m_s.all())
        k = std::clamp(k * static_cast<float>(times), 1e-9F, 0.02F);  // NaN stays NaN
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

Soil site_soil(const Site& site, const Dem& dem) {
    const SoilSettings& s = site.soil;
    Soil soil;
    soil.conductivity_m_s =
        layer(dem, s.conductivity_map, "conductivity", Dimension::speed, s.conductivity_m_s);
    check_cells(site, dem, soil.conductivity_m_s, "soil.conductivity", check_conductivity);
    take_times(soil.conductivity_m_s, s.conductivity_times);
    soil.drainable_porosity =
        layer(dem, s.drainable_porosity_map, "drainable porosity", std::nullopt, s.drainable_porosity);
    for (std::size_t c = 0; c < soil.drainable_porosity.size(); ++c) {
        float& porosity = soil.drainable_porosity[c];
        if (std::isnan(porosity))
            porosity = static_cast<float>(porosity_from(static_cast<double>(soil.conductivity_m_s[c])));
    }
    check_cells(site, dem, soil.drainable_porosity, "soil.drainable_porosity", check_drainable_porosity);
    soil.floor_depth_m =
        layer(dem, s.floor_depth_map, "depth of the restrictive layer", Dimension::length, s.floor_depth_m);
    check_cells(site, dem, soil.floor_depth_m, "soil.floor_depth", check_floor);
    return soil;
}

Field<float> table_depth_map(const Site& site, const Dem& dem) {
    const DrainSettings& settings = site.drain;
    Field<float> depth = read_soil_map(*settings.table_depth_map, "depth of the water table",
                                       Dimension::length, dem.ground.grid, dem.geo);
    // Beyond the map as given, or none in the ground: the depth is cut to the restrictive layer's.
    const auto elsewhere = static_cast<float>(settings.table_depth_m.value_or(1e6));
    std::replace_if(
        depth.all().begin(), depth.all().end(), [](float d) { return std::isnan(d); }, elsewhere);
    const auto below = std::find_if(depth.all().begin(), depth.all().end(), [](float d) { return d < 0; });
    if (below != depth.all().end()) {
        throw InputError(
            fmt::format("{}: {}: a depth of {:.3g} m can't be; count depths below the surface from 0 on",
                        site.file.string(), "drain.table_depth_map", static_cast<double>(*below)));
    }
    return depth;
}

GroundDrains drawn_drains(const Site& site, const Dem& dem, const Soil& soil,
                          std::vector<std::string>& notes) {
    GroundDrains drains;
    if (!site.drain.lines) return drains;
    const auto lines = read_drain_lines(*site.drain.lines, dem.ground.grid, dem.geo, notes);
    lay_lines(dem.ground.grid, soil, lines, drains);
    return drains;
}

void lay_pipes_everywhere(const Site& site, const Dem& dem, const std::vector<FarmField>& fields,
                          const Soil& soil, GroundDrains& drains) {
    for (const FarmField& field : fields)
        lay_pattern(dem.ground.grid, soil, field.cells, field.share, site.drain.pipe_depth_m,
                    *site.drain.spacing_m, pipe_radius_m, drains);
}

void check_site_soil(const Site& site, const Dem& dem) {
    if (!has_soil(site)) return;
    const Soil soil = site_soil(site, dem);
    std::vector<std::string> told_by_the_run;
    drawn_drains(site, dem, soil, told_by_the_run);
    if (site.drain.table_depth_map) table_depth_map(site, dem);
}

}  // namespace lielow
