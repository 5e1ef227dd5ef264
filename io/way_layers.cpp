// SPDX-License-Identifier: Apache-2.0
#include "io/way_layers.hpp"

#include "io/people_units.hpp"

namespace lielow {
namespace {

Wkb line_of(const GeoReference& geo, const Grid& grid, const DrainageWay& way) {
    const auto cols = static_cast<std::uint32_t>(grid.cols);
    std::vector<std::array<double, 2>> corners;
    for (const std::uint32_t cell : way.cells)
        corners.push_back(geo.at(cell % cols + 0.5, cell / cols + 0.5));
    if (corners.size() == 1) corners.push_back(corners.front());  // a confluence on the ground's edge
    return line_wkb(corners);
}

template <class ValueOf>
std::vector<double> numbers(std::span<const DrainageWay> ways, ValueOf value_of) {
    std::vector<double> values;
    for (const DrainageWay& way : ways) values.push_back(value_of(way));
    return values;
}

std::vector<double> acres(std::vector<double> areas_m2) {
    for (double& area : areas_m2) area = to_people(area, PeopleQuantity::area, PeopleUnits::us);
    return areas_m2;
}

}  // namespace

VectorLayer drainage_ways_layer(const GeoReference& geo, const Grid& grid,
                                std::span<const DrainageWay> ways) {
    VectorLayer layer{
        "drainage_ways", "Lines along which water gathers, drawn downstream", Shape::line, {}, {}};
    std::vector<std::int64_t> number;
    std::vector<std::int64_t> into;
    std::vector<std::int64_t> order;
    for (std::size_t w = 0; w < ways.size(); ++w) {
        layer.geometries.push_back(line_of(geo, grid, ways[w]));
        number.push_back(static_cast<std::int64_t>(w) + 1);
        into.push_back(ways[w].into + 1);
        order.push_back(ways[w].order);
    }
    const auto upslope = numbers(ways, [](const DrainageWay& w) { return w.upslope_m2; });
    layer.columns = {
        {"way", "Number of the way", std::move(number)},
        {"into_way", "Number of the way it runs into; 0 off the ground", std::move(into)},
        {"stream_order", "Order after Strahler", std::move(order)},
        {"upslope_m2", "Area that drains through its lower end, square metres", upslope},
        {"upslope_acres", "The same in acres", acres(upslope)},
        {"width_m", "Width of a natural stream with that upslope area at bankfull flow, metres",
         numbers(ways, [](const DrainageWay& w) { return w.width_m; })},
        {"length_m", "Length, metres", numbers(ways, [](const DrainageWay& w) { return w.length_m; })},
        {"fall_m", "Fall from top to end, hollows full, metres",
         numbers(ways, [](const DrainageWay& w) { return w.fall_m; })}};
    return layer;
}

VectorLayer field_sources_layer(std::vector<Wkb> outlines, std::vector<std::string> names,
                                std::vector<double> areas_m2) {
    VectorLayer layer{"field_sources",
                      "Ground whose water runs through each field, hollows full, the field itself included",
                      Shape::multi_polygon,
                      std::move(outlines),
                      {}};
    layer.columns = {{"name", "Name of the field", std::move(names)},
                     {"area_m2", "Area, square metres", areas_m2},
                     {"area_acres", "Area, acres", acres(areas_m2)}};
    return layer;
}

}  // namespace lielow
