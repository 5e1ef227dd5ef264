// SPDX-License-Identifier: Apache-2.0
#include "io/gdal_style_table.hpp"

#include <ogrsf_frmts.h>

#include <algorithm>
#include <array>

namespace lielow::gdal {
namespace {

constexpr int name_length = 30;

struct TableColumn {
    const char* name;
    OGRFieldType type;
    int width;
};

/// Names and types as QGIS makes them.
constexpr std::array<TableColumn, 12> columns{{{"f_table_catalog", OFTString, 256},
                                               {"f_table_schema", OFTString, 256},
                                               {"f_table_name", OFTString, 256},
                                               {"f_geometry_column", OFTString, 256},
                                               {"styleName", OFTString, name_length},
                                               {"styleQML", OFTString, 0},
                                               {"styleSLD", OFTString, 0},
                                               {"useAsDefault", OFTInteger, 0},
                                               {"description", OFTString, 0},
                                               {"owner", OFTString, name_length},
                                               {"ui", OFTString, name_length},
                                               {"update_time", OFTDateTime, 0}}};

bool has_style(const VectorLayer& layer) {
    return !layer.style.classes.empty();
}

OGRLayer* create_table(GDALDataset& dataset) {
    CPLStringList options;
    options.SetNameValue("FID", "id");
    options.SetNameValue("DESCRIPTION", "How the layers are drawn by default");
    OGRLayer* const table = dataset.CreateLayer("layer_styles", nullptr, wkbNone, options.List());
    if (table == nullptr) return nullptr;
    for (const TableColumn& column : columns) {
        OGRFieldDefn attribute(column.name, column.type);
        attribute.SetWidth(column.width);
        if (column.type == OFTInteger) attribute.SetSubType(OFSTBoolean);
        if (table->CreateField(&attribute) != OGRERR_NONE) return nullptr;
    }
    return table;
}

bool add_style(OGRLayer& table, const VectorLayer& layer, const char* geometry_column) {
    OGRFeature row(table.GetLayerDefn());
    for (const char* unused : {"f_table_catalog", "f_table_schema", "owner"}) row.SetField(unused, "");
    row.SetField("f_table_name", layer.name.c_str());
    row.SetField("f_geometry_column", geometry_column);
    row.SetField("styleName", layer.name.substr(0, name_length).c_str());
    row.SetField("styleQML", layer_qml(layer.shape, layer.style).c_str());
    row.SetField("styleSLD", layer_sld(layer.name, layer.shape, layer.style).c_str());
    row.SetField("useAsDefault", 1);
    row.SetField("description", layer.description.c_str());
    row.SetField("update_time", "1970-01-01T00:00:00.000Z");  // as all dates of the file
    return table.CreateFeature(&row) == OGRERR_NONE;
}

}  // namespace

bool write_style_table(GDALDataset& dataset, std::span<const VectorLayer> layers) {
    if (std::none_of(layers.begin(), layers.end(), has_style)) return true;
    OGRLayer* const table = create_table(dataset);
    if (table == nullptr) return false;
    return std::all_of(layers.begin(), layers.end(), [&](const VectorLayer& layer) {
        if (!has_style(layer)) return true;
        OGRLayer* const drawn = dataset.GetLayerByName(layer.name.c_str());
        return drawn != nullptr && add_style(*table, layer, drawn->GetGeometryColumn());
    });
}

}  // namespace lielow::gdal
