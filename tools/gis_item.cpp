// SPDX-License-Identifier: Apache-2.0
#include "tools/gis_item.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cctype>
#include <fstream>

#include "io/result_raster.hpp"
#include "io/stac_item.hpp"
#include "sim/errors.hpp"
#include "tools/night_times.hpp"

namespace lielow {
namespace {

/// Results that stand above the rasters' folder.
const std::array<StacFile, 5> beside{{
    {"sites", "../sites.gpkg", "application/geopackage+sqlite3", "Fields, lines and spots with their figures",
     "data"},
    {"archive", "../archive.nc", "application/x-netcdf", "Night and storm through time", "data"},
    {"spots", "../spots.csv", "text/csv", "The night at named spots", "data"},
    {"report", "../report.html", "text/html", "Report", "overview"},
    {"summary", "../summary.json", "application/json", "Every figure, and what it was made from", "metadata"},
}};

bool ran(const SiteRun& run, std::string_view part) {
    return std::any_of(run.summary.parts.begin(), run.summary.parts.end(),
                       [&](const PartRecord& record) { return record.name == part; });
}

/// Lower case letters and digits, hyphens between them.
std::string slug(const std::string& text) {
    std::string slug;
    for (const char c : text) {
        const auto letter = static_cast<unsigned char>(c);
        if (letter < 128 && std::isalnum(letter) != 0) {
            slug += static_cast<char>(std::tolower(letter));
        } else if (!slug.empty() && slug.back() != '-') {
            slug += '-';
        }
    }
    while (!slug.empty() && slug.back() == '-') slug.pop_back();
    return slug;
}

StacItem item_of(const SiteRun& run) {
    const Summary& summary = run.summary;
    StacItem item{slug(summary.title),
                  summary.title,
                  summary.cautions.front(),
                  {},
                  {{"lielow", summary.version}},
                  run.dem.geo,
                  run.dem.ground.grid,
                  rasters_in(run.staging.path("rasters")),
                  {}};
    if (item.id.empty()) item.id = "lielow-run";
    if (ran(run, "night")) {
        const NightSpan night = night_span(run.site, run.dem.geo);
        const auto date = *run.site.night.date;
        item.span.emplace(utc_text(date, night.sunset_s), utc_text(date, night.sunrise_s));
        item.id += "-" + date_text(run.site);
    }
    item.software.insert(item.software.end(), summary.libraries.begin(), summary.libraries.end());
    for (const StacFile& file : beside) {
        const std::string name = std::filesystem::path(file.href).filename().string();
        if (file.key == "summary" || std::filesystem::exists(run.staging.path(name)))
            item.others.push_back(file);
    }
    return item;
}

}  // namespace

void write_gis_item(SiteRun& run) {
    const StacItem item = item_of(run);
    if (item.rasters.empty()) return;
    std::ofstream stream(run.staging.path("rasters/stac-item.json"), std::ios::binary);
    stream << stac_item_json(item);
    stream.close();
    if (!stream) throw RunError("stac-item.json can't be written; is the disk full?");
}

}  // namespace lielow
