// SPDX-License-Identifier: Apache-2.0
#include "io/fields.hpp"

#include <fmt/format.h>
#include <ogrsf_frmts.h>

#include <cmath>
#include <map>
#include <numeric>

#include "io/gdal_coverage.hpp"
#include "io/gdal_outline.hpp"
#include "io/gdal_session.hpp"
#include "io/gdal_vector.hpp"
#include "sim/errors.hpp"

namespace lielow {
namespace {

constexpr double kWhollyInside = 1.0 - 1e-6;  // of a field's area
constexpr double kWhollyOutside = 1e-9;

struct Outline {
    std::string name;
    gdal::Polygons polygons;  // the file's CRS
};

/// Attribute "name" in any case, else the first text attribute, else -1.
int name_attribute(OGRFeatureDefn& attributes) {
    int first_text = -1;
    for (int i = 0; i < attributes.GetFieldCount(); ++i) {
        const OGRFieldDefn& attribute = *attributes.GetFieldDefn(i);
        if (EQUAL(attribute.GetNameRef(), "name")) return i;
        if (first_text < 0 && attribute.GetType() == OFTString) first_text = i;
    }
    return first_text;
}

std::string name_of(OGRFeature& feature, int attribute, std::size_t number, const std::string& file,
                    std::vector<std::string>& notes) {
    const bool given = attribute >= 0 && feature.IsFieldSetAndNotNull(attribute);
    const std::string text = given ? gdal::one_line(feature.GetFieldAsString(attribute)) : "";
    if (!text.empty() && CPLIsUTF8(text.c_str(), -1)) return text;
    const std::string name = fmt::format("field {}", number);
    notes.push_back(fmt::format("{}: outline {} has no {}name, called \"{}\"", file, number,
                                text.empty() ? "" : "readable ", name));
    return name;
}

std::vector<Outline> read_outlines(OGRLayer& layer, const OGRSpatialReference& crs, const std::string& file,
                                   std::vector<std::string>& notes) {
    const gdal::Errors errors;
    std::vector<Outline> outlines;
    const int attribute = name_attribute(*layer.GetLayerDefn());
    std::size_t others = 0;
    std::size_t number = 0;
    for (auto& feature : layer) {
        ++number;
        const OGRGeometry* geometry = feature->GetGeometryRef();
        gdal::Polygons polygons = geometry == nullptr ? nullptr : gdal::flat_polygons(*geometry);
        if (!polygons) {
            ++others;
            continue;
        }
        const std::string name = name_of(*feature, attribute, number, file, notes);
        outlines.push_back({name, gdal::sound(std::move(polygons), name, crs, file, notes)});
    }
    if (errors.any()) throw InputError(fmt::format("{} is damaged or cut off ({})", file, errors.text()));
    if (outlines.empty())
        throw InputError(fmt::format("{} holds no polygons; give the outlines of the fields", file));
    if (others > 0)
        notes.push_back(fmt::format("{}: {} entries aren't polygons and are left out", file, others));
    return outlines;
}

void check_names(const std::vector<Outline>& outlines, const std::string& file) {
    std::map<std::string, int> seen;
    for (const Outline& outline : outlines) {
        if (++seen[outline.name] > 1) {
            throw InputError(
                fmt::format("{}: two fields are named \"{}\"; give each its own name", file, outline.name));
        }
    }
}

void check_place(const FarmField& field, const OGRGeometry& outline, const OGRGeometry& extent,
                 const std::string& file, std::vector<std::string>& notes) {
    const double whole = outline.toMultiPolygon()->get_Area();
    if (!(whole > 0)) throw InputError(fmt::format("{}: field \"{}\" has no area", file, field.name));
    const std::unique_ptr<OGRGeometry> common(outline.Intersection(&extent));
    const gdal::Polygons inside = common ? gdal::flat_polygons(*common) : nullptr;
    const double share = inside ? inside->get_Area() / whole : 0.0;
    if (share < kWhollyOutside) {
        throw InputError(
            fmt::format("{}: field \"{}\" lies outside the DEM; check the CRS of both", file, field.name));
    }
    if (share < kWhollyInside) {
        notes.push_back(fmt::format("{}: {:.1f} % of field \"{}\" lies outside the DEM and isn't counted",
                                    file, 100.0 * (1.0 - share), field.name));
    }
}

FarmField on_ground(Outline outline, OGRCoordinateTransformation* to_ground, const OGRGeometry& extent,
                    const Grid& grid, const GeoReference& geo, const std::string& file,
                    std::vector<std::string>& notes) {
    const gdal::Errors errors;
    OGRMultiPolygon& polygons = *outline.polygons;
    if (to_ground != nullptr && polygons.transform(to_ground) != OGRERR_NONE) {
        throw InputError(fmt::format("{}: field \"{}\" can't be brought into the DEM's CRS ({})", file,
                                     outline.name, errors.text()));
    }
    FarmField field;
    field.name = std::move(outline.name);
    check_place(field, polygons, extent, file, notes);
    field.area_m2 = polygons.get_Area() * geo.metres_per_unit * geo.metres_per_unit;
    field.outline_wkb = gdal::wkb_of(polygons);
    gdal::Coverage coverage = gdal::coverage_of(polygons, field.area_m2, grid, geo);
    field.cells = std::move(coverage.cells);
    field.share = std::move(coverage.share);
    return field;
}

}  // namespace

std::vector<FarmField> read_fields(const std::filesystem::path& path, const Grid& grid,
                                   const GeoReference& geo, std::vector<std::string>& notes) {
    const std::string file = gdal::display_name(path);
    const gdal::PolygonSource source(path, "fields", "outlines of the fields", geo, notes);
    std::vector<Outline> outlines = read_outlines(source.layer(), source.crs(), file, notes);
    check_names(outlines, file);
    const gdal::Polygons extent = gdal::extent_of(grid, geo);
    std::vector<FarmField> fields;
    for (Outline& outline : outlines) {
        fields.push_back(on_ground(std::move(outline), source.to_ground(), *extent, grid, geo, file, notes));
    }
    return fields;
}

FarmField whole_ground(const Grid& grid, const Field<std::uint8_t>& known, const GeoReference& geo) {
    FarmField field;
    field.name = "whole ground";
    field.outline_wkb = gdal::wkb_of(*gdal::extent_of(grid, geo));
    for (std::size_t i = 0; i < known.size(); ++i) {
        if (known[i] != 0) field.cells.push_back(static_cast<std::uint32_t>(i));
    }
    field.share.assign(field.cells.size(), 1.0F);
    field.area_m2 = static_cast<double>(field.cells.size()) * grid.cell_area();
    return field;
}

}  // namespace lielow
