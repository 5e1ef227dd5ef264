// SPDX-License-Identifier: Apache-2.0
#include "io/sites_gpkg.hpp"

#include <cpl_conv.h>
#include <fmt/format.h>
#include <ogrsf_frmts.h>

#include <cmath>

#include "io/gdal_outline.hpp"
#include "io/gdal_session.hpp"
#include "io/gdal_style_table.hpp"
#include "sim/errors.hpp"

namespace lielow {
namespace {

OGRwkbGeometryType geometry_type(Shape shape) {
    switch (shape) {
        case Shape::point:
            return wkbPoint;
        case Shape::line:
            return wkbLineString;
        case Shape::polygon:
            return wkbPolygon;
        case Shape::multi_polygon:
            return wkbMultiPolygon;
    }
    return wkbUnknown;
}

OGRFieldType attribute_type(const Column& column) {
    if (std::holds_alternative<std::vector<double>>(column.values)) return OFTReal;
    return std::holds_alternative<std::vector<std::int64_t>>(column.values) ? OFTInteger64 : OFTString;
}

void check_lengths(const VectorLayer& layer) {
    for (const Column& column : layer.columns) {
        const std::size_t length =
            std::visit([](const auto& values) { return values.size(); }, column.values);
        if (length != layer.geometries.size()) {
            throw RunError(fmt::format("layer {}: column {} has {} values for {} features", layer.name,
                                       column.name, length, layer.geometries.size()));
        }
    }
}

void set_attribute(OGRFeature& feature, int attribute, const Column& column, std::size_t row) {
    if (const auto* reals = std::get_if<std::vector<double>>(&column.values)) {
        if (std::isfinite((*reals)[row])) feature.SetField(attribute, (*reals)[row]);
    } else if (const auto* integers = std::get_if<std::vector<std::int64_t>>(&column.values)) {
        feature.SetField(attribute, static_cast<GIntBig>((*integers)[row]));
    } else if (const auto& texts = std::get<std::vector<std::string>>(column.values); !texts[row].empty()) {
        feature.SetField(attribute, texts[row].c_str());
    }
}

bool add_feature(OGRLayer& target, const VectorLayer& layer, std::size_t row) {
    OGRFeature feature(target.GetLayerDefn());
    OGRGeometry* geometry = nullptr;
    const Wkb& wkb = layer.geometries[row];
    if (OGRGeometryFactory::createFromWkb(wkb.data(), nullptr, &geometry, wkb.size()) != OGRERR_NONE) {
        throw RunError(fmt::format("layer {}: feature {} has no readable geometry", layer.name, row + 1));
    }
    feature.SetGeometryDirectly(geometry);
    for (std::size_t c = 0; c < layer.columns.size(); ++c)
        set_attribute(feature, static_cast<int>(c), layer.columns[c], row);
    return target.CreateFeature(&feature) == OGRERR_NONE;
}

OGRLayer* add_layer(GDALDataset& dataset, OGRSpatialReference& crs, const VectorLayer& layer) {
    CPLStringList options;
    options.SetNameValue("DESCRIPTION", layer.description.c_str());
    OGRLayer* target =
        dataset.CreateLayer(layer.name.c_str(), &crs, geometry_type(layer.shape), options.List());
    if (target == nullptr) return nullptr;
    for (const Column& column : layer.columns) {
        OGRFieldDefn attribute(column.name.c_str(), attribute_type(column));
        if (target->CreateField(&attribute) != OGRERR_NONE) return nullptr;
    }
    return target;
}

// GeoPackage 1.2.1, annex F.9 "Schema": the standard's own table definitions. GDAL reads the
// extension but of this version doesn't write descriptions into it.
const char* const kSchemaExtension[] = {
    "CREATE TABLE gpkg_data_columns (table_name TEXT NOT NULL, column_name TEXT NOT NULL, name TEXT, title "
    "TEXT, "
    "description TEXT, mime_type TEXT, constraint_name TEXT, CONSTRAINT pk_gdc PRIMARY KEY (table_name, "
    "column_name), "
    "CONSTRAINT gdc_tn UNIQUE (table_name, name))",
    "CREATE TABLE gpkg_data_column_constraints (constraint_name TEXT NOT NULL, constraint_type TEXT NOT "
    "NULL, value TEXT, "
    "min NUMERIC, min_is_inclusive BOOLEAN, max NUMERIC, max_is_inclusive BOOLEAN, description TEXT, "
    "CONSTRAINT gdcc_ntv UNIQUE (constraint_name, constraint_type, value))",
    "INSERT INTO gpkg_extensions (table_name, column_name, extension_name, definition, scope) VALUES "
    "('gpkg_data_columns', NULL, 'gpkg_schema', 'http://www.geopackage.org/spec121/#extension_schema', "
    "'read-write'), "
    "('gpkg_data_column_constraints', NULL, 'gpkg_schema', "
    "'http://www.geopackage.org/spec121/#extension_schema', "
    "'read-write')",
};

std::string quoted(const std::string& text) {
    char* escaped = CPLEscapeString(text.c_str(), static_cast<int>(text.size()), CPLES_SQL);
    std::string result = fmt::format("'{}'", escaped);
    CPLFree(escaped);
    return result;
}

void run_sql(GDALDataset& dataset, const std::string& statement) {
    dataset.ReleaseResultSet(dataset.ExecuteSQL(statement.c_str(), nullptr, nullptr));
}

/// A failure shows in the error capture of the caller.
void describe_columns(GDALDataset& dataset, std::span<const VectorLayer> layers) {
    for (const char* statement : kSchemaExtension) run_sql(dataset, statement);
    for (const VectorLayer& layer : layers) {
        for (const Column& column : layer.columns) {
            run_sql(dataset,
                    fmt::format("INSERT INTO gpkg_data_columns (table_name, column_name, description) VALUES "
                                "({}, {}, {})",
                                quoted(layer.name), quoted(column.name), quoted(column.description)));
        }
    }
}

bool write_layers(GDALDataset& dataset, OGRSpatialReference& crs, std::span<const VectorLayer> layers) {
    if (dataset.StartTransaction() != OGRERR_NONE) return false;
    for (const VectorLayer& layer : layers) {
        OGRLayer* target = add_layer(dataset, crs, layer);
        if (target == nullptr) return false;
        for (std::size_t row = 0; row < layer.geometries.size(); ++row) {
            if (!add_feature(*target, layer, row)) return false;
        }
    }
    describe_columns(dataset, layers);
    if (!gdal::write_style_table(dataset, layers)) return false;
    return dataset.CommitTransaction() == OGRERR_NONE;
}

}  // namespace

Wkb point_wkb(double x, double y) {
    return gdal::wkb_of(OGRPoint(x, y));
}

Wkb line_wkb(std::span<const std::array<double, 2>> corners) {
    OGRLineString line;
    for (const auto& [x, y] : corners) line.addPoint(x, y);
    return gdal::wkb_of(line);
}

void write_sites_gpkg(const std::filesystem::path& path, const GeoReference& geo,
                      std::span<const VectorLayer> layers) {
    for (const VectorLayer& layer : layers) check_lengths(layer);
    gdal::Errors errors;
    const CPLConfigOptionSetter epoch("OGR_CURRENT_DATE", "1970-01-01T00:00:00.000Z", false);
    OGRSpatialReference crs = gdal::crs_from(geo.wkt);
    GDALDriver* driver = GetGDALDriverManager()->GetDriverByName("GPKG");
    if (driver == nullptr) throw RunError("this GDAL has no driver for GeoPackage");
    gdal::Dataset dataset(driver->Create(path.c_str(), 0, 0, 0, GDT_Unknown, nullptr));
    if (!dataset || !write_layers(*dataset, crs, layers) || errors.any())
        gdal::throw_write_failure(path, errors);
    gdal::close_written(std::move(dataset), path, errors);
}

VectorLayer fields_layer(std::span<const FarmField> fields, std::vector<Column> figures) {
    VectorLayer layer{"fields", "Fields and their figures", Shape::multi_polygon, {}, {}};
    std::vector<std::string> names;
    std::vector<double> areas;
    for (const FarmField& field : fields) {
        layer.geometries.push_back(field.outline_wkb);
        names.push_back(field.name);
        areas.push_back(field.area_m2);
    }
    layer.columns.push_back({"name", "Name of the field", std::move(names)});
    layer.columns.push_back({"area_m2", "Area of the outline, square metres", std::move(areas)});
    for (Column& figure : figures) layer.columns.push_back(std::move(figure));
    return layer;
}

}  // namespace lielow
