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
#include "tools/root_depth.hpp"

namespace lielow {
namespace {

constexpr double pipe_radius_m = 0.05;
constexpr float least_floor_m = 0.05F;
constexpr float unknown = std::numeric_limits<float>::quiet_NaN();

/// What counts for one property, the first that says something: map, number, survey, default.
struct Sources {
    const std::optional<std::filesystem::path>& map;
    std::optional<double> number;
    const Field<float>* survey = nullptr;  ///< null or empty = says nothing
    std::optional<double> otherwise = {};
};

Field<float> layer(const Dem& dem, const Sources& sources, const std::string& what,
                   std::optional<Dimension> dimension) {
    const Grid& grid = dem.ground.grid;
    Field<float> values = sources.map ? read_soil_map(*sources.map, what, dimension, grid, dem.geo)
                                      : Field<float>(grid.rows, grid.cols, unknown);
    const auto fill = [&values](const auto& value_at) {
        for (std::size_t c = 0; c < values.size(); ++c) {
            if (std::isnan(values[c])) values[c] = value_at(c);
        }
    };
    if (sources.number) fill([&](std::size_t) { return static_cast<float>(*sources.number); });
    if (sources.survey != nullptr && !sources.survey->empty())
        fill([&](std::size_t c) { return (*sources.survey)[c]; });
    if (sources.otherwise) fill([&](std::size_t) { return static_cast<float>(*sources.otherwise); });
    return values;
}

/// exp(mean of the logarithms); NaN for none.
double geometric_mean(const Field<float>& values) {
    double sum = 0;
    std::size_t count = 0;
    for (const float value : values.all()) {
        if (!(value > 0)) continue;
        sum += std::log(static_cast<double>(value));
        ++count;
    }
    return count > 0 ? std::exp(sum / static_cast<double>(count)) : static_cast<double>(unknown);
}

/// Shallower ground than the drain-down can work with counts as that deep.
Field<float> deep_enough(const Field<float>& survey_m) {
    Field<float> depth = survey_m.clone();
    for (float& d : depth.all()) d = std::isnan(d) ? d : std::max(d, least_floor_m);
    return depth;
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

bool has_soil(const Site& site, const SoilFacts& facts) {
    return site.soil.conductivity_m_s || site.soil.conductivity_map || !facts.conductivity_m_s.empty();
}

Soil site_soil(const Site& site, const Dem& dem, const SoilFacts& facts) {
    const SoilSettings& s = site.soil;
    Soil soil;
    const bool surveyed = !facts.conductivity_m_s.empty();
    const std::optional<double> elsewhere =
        surveyed ? std::optional(geometric_mean(facts.conductivity_m_s)) : std::nullopt;
    soil.conductivity_m_s =
        layer(dem, {s.conductivity_map, s.conductivity_m_s, &facts.conductivity_m_s, elsewhere},
              "conductivity", Dimension::speed);
    check_cells(site, dem, soil.conductivity_m_s, "soil.conductivity", check_conductivity);
    take_times(soil.conductivity_m_s, s.conductivity_times);
    soil.drainable_porosity =
        layer(dem, {s.drainable_porosity_map, s.drainable_porosity}, "drainable porosity", std::nullopt);
    for (std::size_t c = 0; c < soil.drainable_porosity.size(); ++c) {
        float& porosity = soil.drainable_porosity[c];
        if (std::isnan(porosity))
            porosity = static_cast<float>(porosity_from(static_cast<double>(soil.conductivity_m_s[c])));
    }
    check_cells(site, dem, soil.drainable_porosity, "soil.drainable_porosity", check_drainable_porosity);
    const bool given = is_given(site, "soil.floor_depth");
    const Field<float> surveyed_floor = deep_enough(facts.floor_depth_m);
    soil.floor_depth_m = layer(dem,
                               {s.floor_depth_map, given ? std::optional(s.floor_depth_m) : std::nullopt,
                                &surveyed_floor, s.floor_depth_m},
                               "depth of the restrictive layer", Dimension::length);
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

void check_site_soil(const Site& site, const Dem& dem, const SoilFacts& facts) {
    if (!has_soil(site, facts)) return;
    const Soil soil = site_soil(site, dem, facts);
    std::vector<std::string> told_by_the_run;
    drawn_drains(site, dem, soil, told_by_the_run);
    if (site.drain.table_depth_map) table_depth_map(site, dem);
}

}  // namespace lielow
