// SPDX-License-Identifier: Apache-2.0
#include "io/land_cover.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <map>
#include <system_error>

#include "io/gdal_codes.hpp"
#include "io/gdal_coverage.hpp"
#include "io/gdal_outline.hpp"
#include "io/gdal_vector.hpp"
#include "io/nearest_name.hpp"
#include "sim/errors.hpp"

namespace lielow {
namespace {

std::vector<std::string_view> names_of(const std::vector<CoverClass>& classes) {
    std::vector<std::string_view> names;
    names.reserve(classes.size());
    for (const CoverClass& c : classes) names.push_back(c.name);
    return names;
}

LandCover from_codes(GDALDataset& source, const std::vector<CoverClass>& classes, const Ground& ground,
                     const GeoReference& geo, const std::string& file) {
    const Field<std::int32_t> codes = gdal::codes_on_ground(source, ground.grid, geo, file, "land cover");
    std::map<std::int32_t, std::uint8_t> place{{0, 0}};
    for (std::size_t k = 0; k < classes.size(); ++k) {
        if (classes[k].code) place[*classes[k].code] = static_cast<std::uint8_t>(k + 1);
    }
    LandCover cover{classes, Field<std::uint8_t>(codes.rows(), codes.cols(), std::uint8_t{0})};
    for (std::size_t c = 0; c < codes.size(); ++c) {
        const auto found = place.find(codes[c]);
        if (found != place.end()) {
            cover.cells[c] = found->second;
        } else if (ground.known[c] != 0) {
            throw InputError(fmt::format("{}: no class has the code {}; write code = {} under [cover.NAME]",
                                         file, codes[c], codes[c]));
        }
    }
    return cover;
}

std::uint8_t class_of(const OGRFeature& feature, int attribute, const std::vector<CoverClass>& classes,
                      const std::string& file) {
    const std::string name = gdal::one_line(const_cast<OGRFeature&>(feature).GetFieldAsString(attribute));
    const auto names = names_of(classes);
    const auto found = std::find(names.begin(), names.end(), name);
    if (found == names.end()) {
        throw InputError(
            fmt::format("{}: \"{}\" is no class of land cover; the nearest known one is \"{}\", or "
                        "write its figures under [cover.NAME]",
                        file, name, nearest_name(name, names)));
    }
    return static_cast<std::uint8_t>(found - names.begin() + 1);
}

LandCover from_polygons(const std::filesystem::path& path, const std::vector<CoverClass>& classes,
                        const Ground& ground, const GeoReference& geo, std::vector<std::string>& notes) {
    const std::string file = gdal::display_name(path);
    const gdal::PolygonSource source(path, "cover", "land cover", geo, notes);
    const int attribute = source.layer().GetLayerDefn()->GetFieldIndex("cover");
    if (attribute < 0)
        throw InputError(fmt::format("{} has no attribute cover; add one with each polygon's class", file));
    LandCover cover{classes, Field<std::uint8_t>(ground.grid.rows, ground.grid.cols, std::uint8_t{0})};
    for (auto& feature : source.layer()) {
        const OGRGeometry* geometry = feature->GetGeometryRef();
        gdal::Polygons polygons = geometry == nullptr ? nullptr : gdal::flat_polygons(*geometry);
        if (!polygons) continue;
        const std::uint8_t k = class_of(*feature, attribute, classes, file);
        polygons = gdal::sound(std::move(polygons), classes[k - 1].name, source.crs(), file, notes);
        if (source.to_ground() != nullptr && polygons->transform(source.to_ground()) != OGRERR_NONE)
            throw InputError(fmt::format("{} can't be brought into the DEM's CRS", file));
        const double area = polygons->get_Area() * geo.metres_per_unit * geo.metres_per_unit;
        const gdal::Coverage coverage = gdal::coverage_of(*polygons, area, ground.grid, geo);
        for (std::size_t c = 0; c < coverage.cells.size(); ++c) {
            if (coverage.share[c] >= 0.5F) cover.cells[coverage.cells[c]] = k;
        }
    }
    return cover;
}

}  // namespace

LandCover read_land_cover(const std::filesystem::path& path, const std::vector<CoverClass>& classes,
                          const Ground& ground, const GeoReference& geo, std::vector<std::string>& notes) {
    const std::string file = gdal::display_name(path);
    std::error_code ignored;
    const gdal::Dataset raster = gdal::open_raster(path);
    if (!raster && !std::filesystem::exists(path, ignored))
        throw InputError(fmt::format("{}: no such file (the land cover)", path.string()));
    LandCover cover = raster ? from_codes(*raster, classes, ground, geo, file)
                             : from_polygons(path, classes, ground, geo, notes);
    std::size_t known = 0;
    std::size_t covered = 0;
    for (std::size_t c = 0; c < cover.cells.size(); ++c) {
        if (ground.known[c] == 0) continue;
        ++known;
        covered += cover.cells[c] != 0 ? 1 : 0;
    }
    if (covered == 0)
        throw InputError(fmt::format("{} covers nothing of the DEM; check the CRS of both", file));
    if (covered < known) {
        notes.push_back(
            fmt::format("{}: {:.1f} % of the ground has no land cover and counts as ordinary ground", file,
                        100.0 * static_cast<double>(known - covered) / static_cast<double>(known)));
    }
    return cover;
}

}  // namespace lielow
