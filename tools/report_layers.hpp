// SPDX-License-Identifier: Apache-2.0
// Results as the report shows them: values, their unit for people, classes and their colours.
#pragma once

#include <filesystem>
#include <nlohmann/json_fwd.hpp>
#include <optional>
#include <string>
#include <vector>

#include "io/page_bytes.hpp"
#include "io/result_grid.hpp"
#include "tools/looks.hpp"

namespace lielow {

/// From a stored number to what people read: (stored - zero) / size.
struct ReportUnit {
    std::string name;
    double size_si = 1;
    double zero_si = 0;
    int decimals = 1;
    [[nodiscard]] double shown(double stored) const { return (stored - zero_si) / size_si; }
    [[nodiscard]] std::string number(double stored) const;
};

/// `celsius`: the numbers are °C, not K.
ReportUnit report_unit(PeopleQuantity quantity, PeopleUnits units, bool celsius = false);

struct ReportLayer {
    Look look;
    ResultGrid grid;
    ReportUnit unit;
    std::vector<double> limits;  ///< of the classes, as shown; empty for a class raster
    std::vector<PaletteColour> colours;
    std::vector<std::string> legend;  ///< a text per colour
};

/// No more cells of a raster are shown.
inline constexpr std::size_t most_report_cells = 1'000'000;

/// A raster, with the limits, colours and texts of its classes.
ReportLayer report_layer(const Look& look, ResultGrid&& grid, PeopleUnits units);

/// The rasters of folder `rasters` that have a look, in the looks' order, thinned by `every`.
std::vector<ReportLayer> report_layers(const std::filesystem::path& rasters, std::int32_t every,
                                       PeopleUnits units);

/// Limits, colours and legend of a layer that isn't a class raster; fixed limits of its look, or round ones.
void classify(ReportLayer& layer, PeopleUnits units);

/// The class of a stored value; nothing where it isn't drawn.
std::optional<std::size_t> class_of(const ReportLayer& layer, float stored);

const ReportLayer* find_layer(const std::vector<ReportLayer>& layers, std::string_view name);

nlohmann::ordered_json unit_json(const ReportUnit& unit);
nlohmann::ordered_json layer_json(const ReportLayer& layer);

/// Values rounded to `step` (its logarithm to base 10 by `by_factors`), a coarser one where they span too
/// much.
nlohmann::ordered_json grid_json(const Field<float>& values, double cell_x_m, double cell_y_m, double step,
                                 bool by_factors);
/// Whole numbers 0..255, 255 = none.
nlohmann::ordered_json grid_json(const Field<std::uint8_t>& values, double cell_x_m, double cell_y_m);

}  // namespace lielow
