// SPDX-License-Identifier: Apache-2.0
#include "tools/report_places.hpp"

#include <fmt/format.h>

#include <algorithm>
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

std::vector<MeasurePlace> test_places(const std::vector<TestSpotRecord>& spots, const Grid& grid,
                                      const GeoReference& geo) {
    const auto& t = geo.transform;
    const double determinant = t[1] * t[5] - t[2] * t[4];
    std::vector<MeasurePlace> places;
    for (const TestSpotRecord& spot : spots) {
        const double x = spot.x - t[0];
        const double y = spot.y - t[3];
        places.push_back({spot.field, spot.name, (x * t[5] - y * t[2]) / determinant * grid.dx,
                          (y * t[1] - x * t[4]) / determinant * grid.dy, 0});
    }
    return places;
}

std::string test_spots_html(const std::vector<TestSpotRecord>& spots, PeopleUnits units) {
    const auto of = [&](const char* kind) {
        return std::any_of(spots.begin(), spots.end(),
                           [&](const TestSpotRecord& s) { return s.kind == kind; });
    };
    TextTable table;
    table.head = {"spot", "field", "why there",
                  fmt::format("ground, {}", people_unit(PeopleQuantity::height, units)),
                  "latitude, longitude"};
    for (const TestSpotRecord& s : spots)
        table.rows.push_back({s.name, s.field, s.reason,
                              people_number(s.elevation_m, PeopleQuantity::height, units),
                              fmt::format("{:.5f}, {:.5f}", s.latitude_deg, s.longitude_deg)});
    std::string html = "<p>These are the places where looking would settle most of what is open.";
    if (of("thermometer"))
        html += " T: a thermometer at plant height, shaded from the open sky, for at least one spring.";
    if (of("auger hole"))
        html +=
            " A: an auger hole, to see soil, wetness and depth; have buried pipes and cables marked before "
            "you dig.";
    return html + " The file test_spots.gpx beside this page takes them to a handheld receiver.</p>" +
           html_table("Where to look next", table, true);
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
