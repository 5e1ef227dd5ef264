// SPDX-License-Identifier: Apache-2.0
#include "io/stac_item.hpp"

#include <fmt/chrono.h>
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <nlohmann/json.hpp>

#include "io/file_fingerprint.hpp"
#include "io/gdal_position.hpp"
#include "io/gdal_raster.hpp"
#include "io/gdal_session.hpp"
#include "sim/errors.hpp"

namespace lielow {
namespace {

using Json = nlohmann::ordered_json;

const char* const kExtensions[] = {
    "https://stac-extensions.github.io/projection/v2.0.0/schema.json",
    "https://stac-extensions.github.io/classification/v2.0.0/schema.json",
    "https://stac-extensions.github.io/processing/v1.2.0/schema.json",
    "https://stac-extensions.github.io/file/v2.1.0/schema.json",
};

/// Of longitude and latitude: to 1e-7, a centimetre.
double degrees(double value) {
    return std::round(value * 1e7) / 1e7;
}

/// Four corners, counterclockwise as GeoJSON asks, the first one again at the end.
Json footprint(const StacItem& item, const OGRSpatialReference& crs) {
    const double cols = item.grid.cols;
    const double rows = item.grid.rows;
    std::array<std::array<double, 2>, 5> ring{};
    const std::array<std::array<double, 2>, 4> corners{{{0, rows}, {cols, rows}, {cols, 0}, {0, 0}}};
    double twice_area = 0;
    for (std::size_t n = 0; n < ring.size(); ++n) {
        const auto& corner = corners.at(n % corners.size());
        ring.at(n) = gdal::longitude_latitude(crs, item.geo.at(corner[0], corner[1]), "the item");
        if (n > 0) twice_area += ring.at(n - 1)[0] * ring.at(n)[1] - ring.at(n)[0] * ring.at(n - 1)[1];
    }
    if (twice_area < 0) std::reverse(ring.begin(), ring.end());
    Json json = Json::array();
    for (const auto& [longitude, latitude] : ring) json.push_back({degrees(longitude), degrees(latitude)});
    return {{"type", "Polygon"}, {"coordinates", Json::array({json})}};
}

/// West, south, east, north; a raster's edges are curves on the globe, so they are followed.
Json box(const StacItem& item, const OGRSpatialReference& crs) {
    constexpr int along = 21;
    double west = INFINITY, south = INFINITY, east = -INFINITY, north = -INFINITY;
    for (int n = 0; n < along; ++n) {
        const double cols = item.grid.cols * n / (along - 1.0);
        const double rows = item.grid.rows * n / (along - 1.0);
        for (const auto& [col, row] : std::array<std::array<double, 2>, 4>{
                 {{cols, 0}, {cols, double(item.grid.rows)}, {0, rows}, {double(item.grid.cols), rows}}}) {
            const auto [longitude, latitude] =
                gdal::longitude_latitude(crs, item.geo.at(col, row), "the item");
            west = std::min(west, longitude);
            east = std::max(east, longitude);
            south = std::min(south, latitude);
            north = std::max(north, latitude);
        }
    }
    return Json::array({degrees(west), degrees(south), degrees(east), degrees(north)});
}

Json classes_of(const std::vector<RasterClass>& classes) {
    Json json = Json::array();
    for (const RasterClass& c : classes) {
        std::string name = c.name;  // the standard allows letters, digits, - and _
        for (char& letter : name) {
            const bool plain = (letter >= '0' && letter <= '9') || (letter >= 'A' && letter <= 'Z') ||
                               (letter >= 'a' && letter <= 'z');
            if (!plain) letter = '_';
        }
        json.push_back(
            {{"value", c.value},
             {"name", name},
             {"description", c.name},
             {"color_hint", fmt::format("{:02X}{:02X}{:02X}", c.colour[0], c.colour[1], c.colour[2])}});
    }
    return json;
}

Json statistics_of(GDALRasterBand& band) {
    Json json = Json::object();
    for (const auto& [name, item] : {std::pair{"minimum", "STATISTICS_MINIMUM"},
                                     {"maximum", "STATISTICS_MAXIMUM"},
                                     {"mean", "STATISTICS_MEAN"},
                                     {"stddev", "STATISTICS_STDDEV"},
                                     {"valid_percent", "STATISTICS_VALID_PERCENT"}}) {
        const char* const text = band.GetMetadataItem(item);
        if (text != nullptr) json[name] = CPLAtof(text);
    }
    return json;
}

Json band_json(GDALRasterBand& band) {
    const char* const sentence = band.GetMetadataItem("long_name");
    Json json = {{"name", band.GetDescription()},
                 {"description", sentence == nullptr ? "" : sentence},
                 {"data_type", band.GetRasterDataType() == GDT_Byte ? "uint8" : "float32"},
                 {"nodata", band.GetNoDataValue()}};
    if (const std::string unit = band.GetUnitType(); !unit.empty()) json["unit"] = unit;
    if (const Json statistics = statistics_of(band); !statistics.empty()) json["statistics"] = statistics;
    if (const auto classes = gdal::raster_classes(band); !classes.empty())
        json["classification:classes"] = classes_of(classes);
    return json;
}

/// SHA-256 as a multihash: its code, its length in bytes, the digest.
std::string multihash(const std::filesystem::path& file) {
    return "1220" + fingerprint(file).sha256;
}

Json raster_asset(const std::filesystem::path& path) {
    const gdal::Errors errors;
    const gdal::Dataset dataset(GDALDataset::Open(path.c_str(), GDAL_OF_RASTER | GDAL_OF_READONLY));
    if (!dataset) throw RunError(fmt::format("{} can't be read again: {}", path.string(), errors.text()));
    const Json band = band_json(*dataset->GetRasterBand(1));
    return {{"href", "./" + path.filename().string()},
            {"type", "image/tiff; application=geotiff; profile=cloud-optimized"},
            {"title", path.stem().string()},
            {"description", band["description"]},
            {"roles", {"data"}},
            {"file:checksum", multihash(path)},
            {"bands", Json::array({band})}};
}

Json assets(const StacItem& item) {
    Json json = Json::object();
    for (const std::filesystem::path& raster : item.rasters)
        json[raster.stem().string()] = raster_asset(raster);
    for (const StacFile& file : item.others)
        json[file.key] = {
            {"href", file.href}, {"type", file.type}, {"title", file.title}, {"roles", {file.role}}};
    return json;
}

Json properties(const StacItem& item, const OGRSpatialReference& crs) {
    Json json = {{"title", item.title}, {"description", item.description}};
    if (item.span) {
        json["datetime"] = item.span->first;
        json["start_datetime"] = item.span->first;
        json["end_datetime"] = item.span->second;
    } else {
        json["datetime"] = nullptr;
        json["start_datetime"] = "0001-01-01T00:00:00Z";
        json["end_datetime"] = "9999-12-31T23:59:59Z";
    }
    const char* const authority = crs.GetAuthorityName(nullptr);
    const char* const code = crs.GetAuthorityCode(nullptr);
    json["proj:code"] = nullptr;
    if (authority != nullptr && code != nullptr) json["proj:code"] = fmt::format("{}:{}", authority, code);
    json["proj:wkt2"] = item.geo.wkt;
    json["proj:shape"] = {item.grid.rows, item.grid.cols};
    const auto& t = item.geo.transform;  // the extension goes by the rows of the matrix
    json["proj:transform"] = {t[1], t[2], t[0], t[4], t[5], t[3]};
    Json software = Json::object();
    for (const auto& [name, version] : item.software) software[name] = version;
    json["processing:software"] = software;
    return json;
}

}  // namespace

std::string stac_item_json(const StacItem& item) {
    gdal::start();
    const OGRSpatialReference crs = gdal::crs_from(item.geo.wkt);
    const Json json = {{"type", "Feature"},
                       {"stac_version", "1.1.0"},
                       {"stac_extensions", kExtensions},
                       {"id", item.id},
                       {"geometry", footprint(item, crs)},
                       {"bbox", box(item, crs)},
                       {"properties", properties(item, crs)},
                       {"links", Json::array()},
                       {"assets", assets(item)}};
    return json.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

std::string utc_text(std::chrono::year_month_day date, double seconds) {
    const auto time = std::chrono::sys_days(date) + std::chrono::seconds(std::llround(seconds));
    return fmt::format("{:%Y-%m-%dT%H:%M:%SZ}", time);
}

}  // namespace lielow
