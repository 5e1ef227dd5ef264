// SPDX-License-Identifier: Apache-2.0
#include "io/archive.hpp"

#include <fmt/format.h>

#include <cmath>

#include "io/cf_crs.hpp"

namespace lielow {
namespace {

NetcdfAttributes attributes_of(const ArchiveLabel& label) {
    NetcdfAttributes attributes{{"long_name", label.long_name}, {"units", label.units}};
    if (!label.standard_name.empty()) attributes.emplace_back("standard_name", label.standard_name);
    if (!label.cell_methods.empty()) attributes.emplace_back("cell_methods", label.cell_methods);
    return attributes;
}

/// Centres of `count` cells of `step`, from `origin` on.
std::vector<double> centres(double origin, double step, std::int32_t count) {
    std::vector<double> values;
    for (std::int32_t n = 0; n < count; ++n) values.push_back(origin + (n + 0.5) * step);
    return values;
}

}  // namespace

Archive::Archive(const Summary& about, const GeoReference& geo) : geo_(geo) {
    file_.attributes(
        {{"Conventions", "CF-1.8"},
         {"title", about.title + ": a frost night and a storm through time"},
         {"source",
          "lielow " + about.version + ", cold air and water as a stack of shallow sheets over a DEM"},
         {"history", "computed by lielow " + about.version + " from " + about.site_file},
         {"comment",
          "A screening picture to compare places with: not a forecast of any night or flood, and not a "
          "design. The inputs' checksums and all settings in force stand in the group provenance."}});
    NetcdfAttributes provenance{{"version", about.version}};
    for (const auto& [name, version] : about.libraries) provenance.emplace_back("library " + name, version);
    for (const InputRecord& input : about.inputs) {
        provenance.emplace_back("input " + input.key,
                                fmt::format("{}, {} bytes, sha256 {}", input.file, input.fingerprint.bytes,
                                            input.fingerprint.sha256));
    }
    for (const SiteSetting& setting : about.settings)
        provenance.emplace_back("setting " + std::string(setting.key), setting.text);
    file_.group("provenance", provenance);
}

void Archive::add_cells(const std::string& prefix, const Grid& grid, const Blocks& blocks) {
    empty_ = false;
    const auto& t = geo_.transform;
    const std::array<double, 6> transform{t[0], t[1] * blocks.cols, t[2] * blocks.rows,
                                          t[3], t[4] * blocks.cols, t[5] * blocks.rows};
    const bool upright = t[2] == 0 && t[4] == 0;
    const auto axis = [&](const char* letter, double origin, double step, std::int32_t count,
                          double rotated_step) {
        NetcdfAttributes attributes{{"axis", letter[0] == 'x' ? "X" : "Y"}};
        if (upright) {
            attributes.emplace_back("standard_name", fmt::format("projection_{}_coordinate", letter));
            attributes.emplace_back("long_name", fmt::format("{} of the cells' centres", letter));
            attributes.emplace_back("units", map_unit(geo_));
        } else {
            attributes.emplace_back("long_name", letter[0] == 'x'
                                                     ? "distance along the rows of a rotated grid"
                                                     : "distance down the rows of a rotated grid");
            attributes.emplace_back("units", "m");
        }
        file_.dimension(prefix + letter,
                        upright ? centres(origin, step, count) : centres(0, rotated_step, count), attributes);
    };
    axis("y", t[3], transform[5], grid.rows, grid.dy);
    axis("x", t[0], transform[1], grid.cols, grid.dx);
    file_.scalar(prefix + "crs", grid_mapping(geo_, transform));
}

void Archive::add_time(const std::string& prefix, const NetcdfAttributes& attributes) {
    file_.growing_dimension(prefix + "time", attributes);
}

void Archive::add_axis(const std::string& name, std::span<const double> values,
                       const NetcdfAttributes& attributes) {
    file_.dimension(name, values, attributes);
}

void Archive::add_field(const std::string& prefix, const ArchiveLabel& label, const Field<float>& values) {
    NetcdfAttributes attributes = attributes_of(label);
    attributes.emplace_back("grid_mapping", prefix + "crs");
    file_.variable(label.name, {prefix + "y", prefix + "x"}, attributes);
    file_.write(label.name, values.all());
}

void Archive::add_series(const std::string& prefix, const ArchiveLabel& label, double height_m,
                         const std::string& between) {
    NetcdfAttributes attributes = attributes_of(label);
    attributes.emplace_back("grid_mapping", prefix + "crs");
    if (std::isfinite(height_m)) attributes.emplace_back("height_above_ground_m", height_m);
    std::vector<std::string> dimensions{prefix + "time"};
    if (!between.empty()) dimensions.push_back(between);
    dimensions.push_back(prefix + "y");
    dimensions.push_back(prefix + "x");
    file_.variable(label.name, dimensions, attributes);
}

void Archive::add_sequence(const std::string& prefix, const ArchiveLabel& label) {
    file_.variable(label.name, {prefix + "time"}, attributes_of(label));
}

}  // namespace lielow
