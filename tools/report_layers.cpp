// SPDX-License-Identifier: Apache-2.0
#include "tools/report_layers.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>
#include <set>

#include "io/result_raster.hpp"

namespace lielow {
namespace {

using Json = nlohmann::ordered_json;

constexpr double kelvin_zero_c = 273.15;
constexpr std::int16_t missing = -32768;
constexpr double most_stored = 32000;

/// Changes aren't shown in the report.
bool from_zero(const Look& look) {
    return look.drawn == Drawn::from_zero;
}

bool is_drawn(const Look& look, double value) {
    return !from_zero(look) || value > look.least_drawn_si();
}

/// The greatest and least values but for a few in a hundred, so that one odd cell doesn't stretch the
/// colours.
std::pair<double, double> usual_range(const ReportLayer& layer) {
    std::vector<float> known;
    for (const float v : layer.grid.values.all()) {
        if (!std::isnan(v) && is_drawn(layer.look, static_cast<double>(v))) known.push_back(v);
    }
    if (known.empty()) return {0, 1};
    const auto at = [&](double share) {
        const auto n = static_cast<std::ptrdiff_t>(share * static_cast<double>(known.size() - 1));
        std::nth_element(known.begin(), known.begin() + n, known.end());
        return layer.unit.shown(static_cast<double>(known[static_cast<std::size_t>(n)]));
    };
    const double least = from_zero(layer.look) ? 0 : at(0.005);
    return {least, at(0.995)};
}

std::string class_text(const ReportLayer& layer, std::size_t n) {
    const std::vector<double>& limits = layer.limits;
    if (n + 2 == limits.size()) return fmt::format("over {}", limit_text(limits[n]));
    if (n == 0 && !from_zero(layer.look) && limits.front() != 0)
        return fmt::format("under {}", limit_text(limits[1]));
    return fmt::format("{} to {}", limit_text(limits[n]), limit_text(limits[n + 1]));
}

/// Only those that occur: a legend of what isn't on the map is noise.
void take_classes(ReportLayer& layer) {
    std::set<int> seen;
    for (const float v : layer.grid.values.all()) {
        if (!std::isnan(v)) seen.insert(static_cast<int>(v));
    }
    std::erase_if(layer.grid.classes, [&](const RasterClass& c) { return !seen.contains(c.value); });
    for (const RasterClass& c : layer.grid.classes) {
        layer.colours.push_back({c.colour[0], c.colour[1], c.colour[2], 255});
        layer.legend.push_back(c.name);
    }
}

}  // namespace

std::string ReportUnit::number(double stored) const {
    if (!std::isfinite(stored)) return "–";
    std::string text = fmt::format("{:.{}f}", shown(stored), decimals);
    if (text.find_first_not_of("-0.") == std::string::npos && text.front() == '-') text.erase(0, 1);
    if (text.front() == '-') text.replace(0, 1, "−");
    return text;
}

ReportUnit report_unit(PeopleQuantity quantity, PeopleUnits units, bool celsius) {
    const double at_nought = to_people(0, quantity, units);
    ReportUnit unit{std::string(people_unit(quantity, units)),
                    1 / (to_people(1, quantity, units) - at_nought), 0, 0};
    unit.zero_si = -at_nought * unit.size_si - (celsius ? kelvin_zero_c : 0);
    const std::string example = people_number(1, quantity, units);
    const auto point = example.find('.');
    unit.decimals = point == std::string::npos ? 0 : static_cast<int>(example.size() - point - 1);
    return unit;
}

void classify(ReportLayer& layer, PeopleUnits units) {
    constexpr int wanted = 7;
    layer.limits = layer.look.limits(units);
    if (layer.limits.empty()) {
        const auto [least, greatest] = usual_range(layer);
        layer.limits = round_limits(least, greatest, wanted);
    }
    const std::size_t classes = layer.limits.size() - 1;
    layer.colours.clear();
    for (const Colour& c : class_colours(layer.look.ramp.value(), classes))
        layer.colours.push_back({c[0], c[1], c[2], 255});
    layer.legend.clear();
    for (std::size_t n = 0; n < classes; ++n) layer.legend.push_back(class_text(layer, n));
}

ReportLayer report_layer(const Look& look, ResultGrid&& grid, PeopleUnits units) {
    const bool celsius = grid.label.unit == "degC";
    ReportLayer layer{look, std::move(grid), {}, {}, {}, {}};
    layer.unit = look.quantity ? report_unit(*look.quantity, units, celsius) : ReportUnit{};
    look.classes ? take_classes(layer) : classify(layer, units);
    return layer;
}

std::vector<ReportLayer> report_layers(const std::filesystem::path& rasters, std::int32_t every,
                                       PeopleUnits units) {
    std::vector<ReportLayer> layers;
    std::vector<std::string> names;
    for (const std::filesystem::path& raster : rasters_in(rasters)) names.push_back(raster.stem().string());
    for (const Look& wanted : all_looks()) {
        if (wanted.groups.empty()) continue;
        for (const std::string& name : names) {
            const bool of_family = name.starts_with(wanted.raster + "_") && wanted.raster == "hours_below";
            if (name != wanted.raster && !of_family) continue;
            const std::optional<Look> look = look_of(name);
            std::optional<ResultGrid> grid = read_result_grid(rasters / (name + ".tif"), every);
            if (!look || !grid) continue;
            layers.push_back(report_layer(*look, std::move(*grid), units));
        }
    }
    return layers;
}

std::optional<std::size_t> class_of(const ReportLayer& layer, float stored) {
    if (std::isnan(stored)) return std::nullopt;
    const auto value = static_cast<double>(stored);
    if (!layer.grid.classes.empty()) {
        for (std::size_t n = 0; n < layer.grid.classes.size(); ++n) {
            if (layer.grid.classes[n].value == static_cast<int>(stored)) return n;
        }
        return std::nullopt;
    }
    if (!is_drawn(layer.look, value)) return std::nullopt;
    std::size_t n = 0;
    while (n + 2 < layer.limits.size() && layer.unit.shown(value) >= layer.limits[n + 1]) ++n;
    return n;
}

const ReportLayer* find_layer(const std::vector<ReportLayer>& layers, std::string_view name) {
    const auto at = std::find_if(layers.begin(), layers.end(),
                                 [&](const ReportLayer& layer) { return layer.look.raster == name; });
    return at == layers.end() ? nullptr : &*at;
}

Json unit_json(const ReportUnit& unit) {
    return {{"name", unit.name},
            {"size_si", unit.size_si},
            {"zero_si", unit.zero_si},
            {"decimals", unit.decimals}};
}

Json layer_json(const ReportLayer& layer) {
    Json colours = Json::array();
    for (const PaletteColour& c : layer.colours) colours.push_back({c.red, c.green, c.blue});
    Json json = {{"title", layer.look.title},
                 {"label", layer.look.label},
                 {"group", fmt::format("{}", fmt::join(layer.look.groups, " "))},
                 {"sentence", layer.grid.label.description},
                 {"unit", unit_json(layer.unit)},
                 {"colours", colours},
                 {"legend", layer.legend},
                 {"blank", layer.look.blank}};
    if (layer.grid.classes.empty()) {
        json["limits"] = layer.limits;
        json["from_zero"] = from_zero(layer.look);
        json["nought"] = layer.look.least_drawn_si();
    } else {
        Json classes = Json::array();
        for (const RasterClass& c : layer.grid.classes)
            classes.push_back({{"value", c.value}, {"name", c.name}});
        json["classes"] = classes;
    }
    return json;
}

Json grid_json(const Field<float>& values, double cell_x_m, double cell_y_m, double step, bool by_factors) {
    const auto told = [by_factors](float v) {
        const auto value = static_cast<double>(v);
        return by_factors ? std::log10(std::max(value, 1e-9)) : value;
    };
    double least = INFINITY;
    double greatest = -INFINITY;
    for (const float v : values.all()) {
        if (std::isnan(v)) continue;
        least = std::min(least, told(v));
        greatest = std::max(greatest, told(v));
    }
    double zero = 0;
    if (greatest >= least &&
        (std::abs(least) > most_stored * step || std::abs(greatest) > most_stored * step)) {
        zero = std::floor(least / step) * step;
        while (greatest - zero > most_stored * step) step *= 2;
    }
    Field<std::int16_t> stored(values.rows(), values.cols());
    for (std::size_t n = 0; n < values.size(); ++n) {
        stored[n] = std::isnan(values[n])
                        ? missing
                        : static_cast<std::int16_t>(std::lround((told(values[n]) - zero) / step));
    }
    return {{"rows", values.rows()}, {"cols", values.cols()},
            {"cell_x_m", cell_x_m},  {"cell_y_m", cell_y_m},
            {"kind", "int16"},       {"step", step},
            {"zero", zero},          {"missing", missing},
            {"factors", by_factors}, {"bytes", packed_grid(stored)}};
}

Json grid_json(const Field<std::uint8_t>& values, double cell_x_m, double cell_y_m) {
    return {{"rows", values.rows()},
            {"cols", values.cols()},
            {"cell_x_m", cell_x_m},
            {"cell_y_m", cell_y_m},
            {"kind", "uint8"},
            {"step", 1},
            {"zero", 0},
            {"missing", 255},
            {"factors", false},
            {"bytes", packed_grid(values)}};
}

}  // namespace lielow
