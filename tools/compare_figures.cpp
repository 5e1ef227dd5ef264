// SPDX-License-Identifier: Apache-2.0
#include "tools/compare_figures.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <fstream>
#include <nlohmann/json.hpp>

#include "io/result_raster.hpp"
#include "sim/errors.hpp"
#include "sim/zonal.hpp"
#include "tools/stop.hpp"

namespace lielow {
namespace {

using enum PeopleQuantity;

constexpr double kelvin_zero_c = 273.15;

enum class How : std::uint8_t {
    least,
    median,
    greatest,
    mean,
    area_from,        ///< area where the raster is at least `with`
    median_per_year,  ///< median of 1/value; 0 where ground has no value: rarer than can be told
    in_summary        ///< the field's figure of that name in the summary of the part `raster`
};

struct Recipe {
    FieldMeasure measure;
    std::string_view raster;
    How how;
    double with = 0;  ///< threshold, or what is added
};

constexpr std::array<Recipe, 16> recipes{{
    {{"night_low_least_c", "lowest temperature", temperature}, "night_low", How::least, kelvin_zero_c},
    {{"night_low_median_c", "lowest temperature of its median place", temperature},
     "night_low",
     How::median,
     kelvin_zero_c},
    {{"night_offset_least_k", "coldest place, from the reference spot", temperature_difference},
     "night_offset",
     How::least},
    {{"night_offset_median_k", "median place, from the reference spot", temperature_difference},
     "night_offset",
     How::median},
    {{"flowers_lost_share", "flowers lost that night", share}, "loss_share", How::mean},
    {{"damaging_springs_share", "springs with damaging frost", share}, "loss_years", How::median_per_year},
    {{"storm_ponded_m2", "ponded after the storm", area}, "water", How::in_summary},
    {{"storm_over_inch_6h_m2", "under more than an inch for 6 h", area}, "storm_hours", How::area_from, 6},
    {{"wet_after_2_days_m2", "wet after 2 days", area}, "drain_days", How::area_from, 2},
    {{"drain_days_median", "days until half of it is free of water", days}, "drain_days", How::median},
    {{"drain_days_greatest", "days until all of it is free of water", days}, "drain_days", How::greatest},
    {{"upslope_m2", "ground outside whose water runs through", area}, "water", How::in_summary},
    {{"siting_plant_m2", "can be planted", area}, "siting", How::in_summary},
    {{"siting_work_m2", "can be planted with work", area}, "siting", How::in_summary},
    {{"siting_not_here_m2", "can't be planted", area}, "siting", How::in_summary},
    {{"siting_unknown_m2", "not known whether it can be planted", area}, "siting", How::in_summary},
}};

nlohmann::json summary_of(const std::filesystem::path& file) {
    std::ifstream stream(file, std::ios::binary);
    nlohmann::json json = nlohmann::json::parse(stream, nullptr, false);
    if (json.is_discarded()) throw RunError(fmt::format("{} can't be read back", file.string()));
    return json;
}

std::optional<double> number_in(const nlohmann::json& json, std::string_view name) {
    const auto at = json.find(std::string(name));
    if (at == json.end() || !at->is_number()) return std::nullopt;
    return at->get<double>();
}

std::optional<double> mean_of(const Field<float>& values, const Zone& zone) {
    double sum = 0;
    double weight = 0;
    for (std::size_t i = 0; i < zone.cells.size(); ++i) {
        const auto value = static_cast<double>(values[zone.cells[i]]);
        if (std::isnan(value)) continue;
        sum += static_cast<double>(zone.share[i]) * value;
        weight += static_cast<double>(zone.share[i]);
    }
    return weight > 0 ? std::optional(sum / weight) : std::nullopt;
}

Field<float> per_year(const Field<float>& years, const Ground& ground) {
    Field<float> shares = years.clone();
    for (std::size_t c = 0; c < shares.size(); ++c) {
        if (!std::isnan(years[c])) shares[c] = 1 / years[c];
        if (std::isnan(years[c]) && ground.known[c] != 0) shares[c] = 0;
    }
    return shares;
}

std::optional<double> value_of(const Recipe& recipe, const Field<float>& values, const Zone& zone,
                               const Grid& grid) {
    if (recipe.how == How::mean) return mean_of(values, zone);
    if (recipe.how == How::area_from)
        return zonal_area(grid, values, zone, [&](float v) { return static_cast<double>(v) >= recipe.with; });
    const ZonalFigures figures = zonal_figures(grid, values, zone);
    const double value = recipe.how == How::least      ? figures.least
                         : recipe.how == How::greatest ? figures.greatest
                                                       : figures.median;
    return std::isnan(value) ? std::nullopt : std::optional(value + recipe.with);
}

void measure_raster(const Variant& variant, const Dem& dem, const Layers& layers, std::size_t number,
                    std::vector<MeasureValues>& values) {
    const Recipe& recipe = recipes[number];
    std::optional<Field<float>> raster = layers.read(recipe.raster);
    if (!raster) return;
    if (recipe.how == How::median_per_year) raster = per_year(*raster, dem.ground);
    for (std::size_t i = 0; i < variant.fields.size(); ++i) {
        const FarmField& field = variant.fields[i];
        values[i][number] = value_of(recipe, *raster, {field.cells, field.share}, dem.ground.grid);
    }
}

void measure_summary(const Variant& variant, const Layers& layers, std::size_t number,
                     std::vector<MeasureValues>& values) {
    const std::filesystem::path file = layers.summary(recipes[number].raster);
    if (file.empty()) return;
    const nlohmann::json fields = summary_of(file).at("fields");
    for (std::size_t i = 0; i < variant.fields.size() && i < fields.size(); ++i)
        values[i][number] = number_in(fields[i], recipes[number].measure.name);
}

}  // namespace

std::span<const FieldMeasure> field_measures() {
    static const std::vector<FieldMeasure> measures = [] {
        std::vector<FieldMeasure> all;
        for (const Recipe& recipe : recipes) all.push_back(recipe.measure);
        return all;
    }();
    return measures;
}

Layers::Layers(const std::filesystem::path& out, const Variant& variant, const Grid& grid)
    : base_(out / "base"), own_(out / variant.folder), parts_(variant.parts), grid_(grid) {}

std::optional<Field<float>> Layers::read(std::string_view raster) const {
    const std::filesystem::path file = std::filesystem::path("rasters") / fmt::format("{}.tif", raster);
    if (!parts_.empty() && std::filesystem::exists(own_ / file))
        return read_result_raster(own_ / file, grid_);
    if (std::filesystem::exists(base_ / file)) return read_result_raster(base_ / file, grid_);
    return std::nullopt;
}

std::filesystem::path Layers::summary(std::string_view part) const {
    const bool own = std::find(parts_.begin(), parts_.end(), part) != parts_.end();
    std::filesystem::path file = (own ? own_ : base_) / "summary.json";
    return std::filesystem::exists(file) ? file : std::filesystem::path();
}

std::vector<MeasureValues> measure_fields(const Variant& variant, const Dem& dem, const Layers& layers) {
    std::vector<MeasureValues> values(variant.fields.size(), MeasureValues(recipes.size()));
    for (std::size_t m = 0; m < recipes.size(); ++m) {
        throw_if_stopped();
        if (recipes[m].how == How::in_summary) {
            measure_summary(variant, layers, m, values);
        } else {
            measure_raster(variant, dem, layers, m, values);
        }
    }
    return values;
}

std::optional<double> part_figure(const Layers& layers, std::string_view part, std::string_view name) {
    // The running storm is told by the water part.
    const std::filesystem::path file = layers.summary(part == "storm" ? "water" : part);
    if (file.empty()) return std::nullopt;
    const nlohmann::json summary = summary_of(file);
    const auto at = summary.at("parts").find(std::string(part));
    return at == summary.at("parts").end() ? std::nullopt : number_in(*at, name);
}

}  // namespace lielow
