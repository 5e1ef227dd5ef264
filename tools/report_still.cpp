// SPDX-License-Identifier: Apache-2.0
#include "tools/report_still.hpp"
#include "tools/html_text.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

namespace lielow {
namespace {

double width_m(const StillGround& ground) {
    return ground.grid.cols * ground.grid.dx;
}
double height_m(const StillGround& ground) {
    return ground.grid.rows * ground.grid.dy;
}

/// The layer as a picture of its class colours, clear where nothing is drawn.
std::string layer_address(const ReportLayer& layer) {
    std::vector<PaletteColour> palette = layer.colours;
    const auto clear = static_cast<std::uint8_t>(palette.size());
    palette.push_back({0, 0, 0, 0});
    Field<std::uint8_t> picture(layer.grid.values.rows(), layer.grid.values.cols());
    for (std::size_t n = 0; n < picture.size(); ++n) {
        const auto drawn = class_of(layer, layer.grid.values[n]);
        picture[n] = drawn ? static_cast<std::uint8_t>(*drawn) : clear;
    }
    return png_address(picture, palette);
}

std::array<double, 2> middle_of(const ResultShape& shape) {
    double x0 = INFINITY, x1 = -INFINITY, y0 = INFINITY, y1 = -INFINITY;
    for (const ShapePart& part : shape.parts) {
        for (const auto& [x, y] : part) {
            x0 = std::min(x0, x);
            x1 = std::max(x1, x);
            y0 = std::min(y0, y);
            y1 = std::max(y1, y);
        }
    }
    return {(x0 + x1) / 2, (y0 + y1) / 2};
}

std::string name_of(const ResultShape& shape) {
    for (const auto& [key, text] : shape.words) {
        if (key == "name") return text;
    }
    return {};
}

/// A bar of a round length in the units people read, about a fifth of the map's width.
std::string scale_bar(const StillGround& ground, double size) {
    const bool us = ground.units == PeopleUnits::us;
    const double unit_m = us ? 0.3048 : 1.0;
    const double wanted = width_m(ground) / 5 / unit_m;
    const double power = std::pow(10.0, std::floor(std::log10(wanted)));
    double length = power;
    for (const double nice : {2.0, 5.0}) {
        if (nice * power <= wanted) length = nice * power;
    }
    const double x = size;
    const double y = height_m(ground) - size;
    const double end = x + length * unit_m;
    return fmt::format(
        R"(<g class="bar"><path d="M{0:.1f} {2:.1f}V{1:.1f}H{3:.1f}V{2:.1f}"/><text x="{4:.1f}" y="{5:.1f}" )"
        R"(font-size="{6:.1f}">{7:.0f} {8}</text></g>)",
        x, y, y - size / 2, end, (x + end) / 2, y - size / 3, size, length, us ? "ft" : "m");
}

std::string north_arrow(const StillGround& ground, double size) {
    return fmt::format(R"-(<g class="n" transform="translate({:.1f} {:.1f}) rotate({:.1f}) scale({:.3f})">)-"
                       R"(<path d="M0-9 6 10 0 6-6 10Z"/>)"
                       R"(<text y="-11" font-size="11">N</text></g>)",
                       width_m(ground) - 1.6 * size, 2.4 * size, ground.north_deg, size / 11);
}

std::string field_marks(const StillGround& ground, double size) {
    std::string marks;
    for (const ResultShape& field : ground.fields)
        marks +=
            fmt::format(R"(<path class="halo" d="{0}"/><path class="edge" d="{0}"/>)", outline_path(field));
    for (const ResultShape& field : ground.fields) {
        const auto [x, y] = middle_of(field);
        marks += fmt::format(R"(<text class="name" x="{:.1f}" y="{:.1f}" font-size="{:.1f}">{}</text>)", x, y,
                             size, html_text(name_of(field)));
    }
    return marks;
}

struct Box {
    double x, y, half_width, half_height;
};

double covered(const Box& a, const Box& b) {
    const double width =
        std::min(a.x + a.half_width, b.x + b.half_width) - std::max(a.x - a.half_width, b.x - b.half_width);
    const double height = std::min(a.y + a.half_height, b.y + b.half_height) -
                          std::max(a.y - a.half_height, b.y - b.half_height);
    return width > 0 && height > 0 ? width * height : 0;
}

/// A name as it will stand, about: what is written is a little more than half as wide as high.
Box name_box(double x, double y, const std::string& name, double size) {
    return {x, y, 0.32 * size * static_cast<double>(name.size()), 0.6 * size};
}

/// The name on that side of its dot where it covers least of what is `taken`, and stays on the map.
Box put_aside(const StillGround& ground, const StillSpot& spot, double size, const std::vector<Box>& taken) {
    constexpr std::array<std::array<int, 2>, 8> sides{
        {{1, 0}, {-1, 0}, {0, -1}, {0, 1}, {1, -1}, {-1, -1}, {1, 1}, {-1, 1}}};
    const Box map{width_m(ground) / 2, height_m(ground) / 2, width_m(ground) / 2, height_m(ground) / 2};
    Box best{};
    double least = INFINITY;
    for (const auto& [right, down] : sides) {
        Box box = name_box(spot.x_m, spot.y_m, spot.name, size);
        box.x += right * (box.half_width + 0.45 * size);
        box.y += down * (box.half_height + 0.35 * size);
        double cost = 2 * (4 * box.half_width * box.half_height - covered(box, map));
        for (const Box& other : taken) cost += covered(box, other);
        if (cost >= least) continue;
        least = cost;
        best = box;
    }
    return best;
}

std::string spot_marks(const StillGround& ground, double size) {
    std::string marks;
    std::vector<Box> taken;
    for (const ResultShape& field : ground.fields) {
        const auto [x, y] = middle_of(field);
        taken.push_back(name_box(x, y, name_of(field), size));
    }
    for (const StillSpot& spot : ground.spots) {
        taken.push_back({spot.x_m, spot.y_m, size / 3, size / 3});
        marks += fmt::format(R"(<circle class="spot" cx="{:.1f}" cy="{:.1f}" r="{:.1f}"/>)", spot.x_m,
                             spot.y_m, size / 3);
    }
    for (const StillSpot& spot : ground.spots) {
        if (spot.name.empty()) continue;
        const Box box = put_aside(ground, spot, 0.9 * size, taken);
        taken.push_back(box);
        marks += fmt::format(R"(<text class="name" x="{:.1f}" y="{:.1f}" font-size="{:.1f}">{}</text>)",
                             box.x, box.y, 0.9 * size, html_text(spot.name));
    }
    return marks;
}

std::string legend_html(const ReportLayer& layer) {
    std::string items;
    for (std::size_t n = 0; n < layer.colours.size(); ++n) {
        const PaletteColour& c = layer.colours[n];
        items += fmt::format(R"-(<li><i style="background:rgb({},{},{})"></i>{}</li>)-", c.red, c.green,
                             c.blue, html_text(layer.legend[n]));
    }
    if (!layer.look.blank.empty()) items += fmt::format("<li>grey: {}</li>", html_text(layer.look.blank));
    const std::string unit = layer.unit.name.empty() ? "" : ", " + layer.unit.name;
    return fmt::format(R"(<b>{}{}</b><ul class="swatches">{}</ul>)", html_text(layer.look.label),
                       html_text(unit), items);
}

}  // namespace

std::string outline_path(const ResultShape& shape) {
    std::string path;
    for (const ShapePart& part : shape.parts) {
        char command = 'M';
        for (const auto& [x, y] : part) {
            path += fmt::format("{}{:.1f} {:.1f}", command, x, y);
            command = 'L';
        }
        path += "Z";
    }
    return path;
}

std::string relief_svg(const StillGround& ground) {
    return fmt::format(R"(<svg class="defs" aria-hidden="true" width="0" height="0"><defs>)"
                       R"(<image id="relief" width="{0:.1f}" )"
                       R"(height="{1:.1f}" preserveAspectRatio="none" href="{2}"/></defs></svg>)",
                       width_m(ground), height_m(ground), ground.relief);
}

std::string still_map(const StillGround& ground, const ReportLayer& layer, const std::string& told) {
    const double size = width_m(ground) / 42;
    const std::int32_t every = thinning(ground.grid.rows, ground.grid.cols,
                                        static_cast<std::size_t>(layer.grid.values.rows()) *
                                            static_cast<std::size_t>(layer.grid.values.cols()));
    const double shown_width = layer.grid.values.cols() * ground.grid.dx * every;
    const double shown_height = layer.grid.values.rows() * ground.grid.dy * every;
    return fmt::format(
        R"(<figure class="still"><svg viewBox="0 0 {0:.1f} {1:.1f}" role="img" aria-label="{2}">)"
        R"(<use href="#relief"/><image class="values" width="{3:.1f}" height="{4:.1f}" )"
        R"(preserveAspectRatio="none" href="{5}"/>{6}{7}{8}</svg>)"
        R"(<figcaption><span class="title">{9}</span>{10}</figcaption></figure>)",
        width_m(ground), height_m(ground), html_text(told), shown_width, shown_height, layer_address(layer),
        field_marks(ground, size) + spot_marks(ground, size), scale_bar(ground, size),
        north_arrow(ground, 1.4 * size), html_text(layer.look.title), legend_html(layer));
}

}  // namespace lielow
