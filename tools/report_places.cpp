// SPDX-License-Identifier: Apache-2.0
#include "tools/report_places.hpp"

#include <fmt/format.h>

#include <cmath>

#include "io/result_shapes.hpp"
#include "tools/report_text.hpp"

namespace lielow {

std::vector<MeasurePlace> measure_places(const std::vector<ReportLayer>& layers,
                                         const Field<std::uint8_t>& field_number,
                                         const std::vector<std::string>& fields, double cell_x_m,
                                         double cell_y_m) {
    const ReportLayer* offset = find_layer(layers, "night_offset");
    std::vector<MeasurePlace> places;
    if (offset == nullptr) return places;
    const auto cols = static_cast<std::size_t>(field_number.cols());
    for (std::size_t f = 0; f < fields.size(); ++f) {
        std::size_t coldest = field_number.size();
        std::size_t mildest = field_number.size();
        for (std::size_t cell = 0; cell < field_number.size(); ++cell) {
            const float value = offset->grid.values[cell];
            if (field_number[cell] != f || std::isnan(value)) continue;
            if (coldest == field_number.size() || value < offset->grid.values[coldest]) coldest = cell;
            if (mildest == field_number.size() || value > offset->grid.values[mildest]) mildest = cell;
        }
        if (coldest == field_number.size()) continue;
        const auto add = [&](const char* what, std::size_t cell) {
            places.push_back({fields[f], what, (static_cast<double>(cell % cols) + 0.5) * cell_x_m,
                              (static_cast<double>(cell / cols) + 0.5) * cell_y_m,
                              offset->grid.values[cell]});
        };
        add("coldest place", coldest);
        add("mildest place", mildest);
    }
    return places;
}

std::string measure_html(const std::vector<MeasurePlace>& places, const Grid& grid, const GeoReference& geo,
                         PeopleUnits units) {
    TextTable table;
    table.head = {"field", "where",
                  fmt::format("against the reference spot, {}",
                              people_unit(PeopleQuantity::temperature_difference, units)),
                  "latitude", "longitude"};
    for (const MeasurePlace& p : places) {
        const auto [longitude, latitude] = longitude_latitude_at(geo, p.x_m / grid.dx, p.y_m / grid.dy);
        table.rows.push_back(
            {p.field, p.what,
             people_number(static_cast<double>(p.offset_k), PeopleQuantity::temperature_difference, units),
             fmt::format("{:.5f}", latitude), fmt::format("{:.5f}", longitude)});
    }
    return "<p>Put a thermometer at plant height, shaded from the open sky, where each field is pictured "
           "coldest and "
           "where it is pictured mildest, for at least one spring. If they differ as told here, trust the "
           "map; if they "
           "don’t, don’t. Tick “Where to measure” on a map to see the places.</p>" +
           html_table("Two thermometers in each field", table);
}

}  // namespace lielow
