// SPDX-License-Identifier: Apache-2.0
#include "io/gdal_position.hpp"

#include <fmt/format.h>

#include <cmath>
#include <numbers>

#include "sim/errors.hpp"

namespace lielow::gdal {
namespace {

/// Cosine of the angle between rows and columns up to which they count as square: 0.1 m on a side of 10 km.
constexpr double kRightAngle = 1e-5;

void check_right_angle(const Affine& t, const std::string& file) {
    const double across = std::hypot(t[1], t[4]);
    const double down = std::hypot(t[2], t[5]);
    if (!(across > 0) || !(down > 0) || !std::isfinite(across * down)) {
        throw InputError(fmt::format("{}'s cells have no size; its position in the file is broken", file));
    }
    if (std::abs(t[1] * t[2] + t[4] * t[5]) > kRightAngle * across * down) {
        throw InputError(fmt::format(
            "{}'s rows and columns don't meet at a right angle; warp it to a straight grid first", file));
    }
}

void flip_rows(Layout& layout, std::int32_t rows) {
    Affine& t = layout.transform;
    const auto corner = map_position(t, 0, rows);
    t = {corner[0], t[1], -t[2], corner[1], t[4], -t[5]};
    layout.flip_rows = true;
}

void flip_cols(Layout& layout, std::int32_t cols) {
    Affine& t = layout.transform;
    const auto corner = map_position(t, cols, 0);
    t = {corner[0], -t[1], t[2], corner[1], -t[4], t[5]};
    layout.flip_cols = true;
}

bool has_place(const OGRSpatialReference* crs) {
    return crs != nullptr && !crs->IsEmpty() && !crs->IsLocal();
}

bool same_place(const OGRSpatialReference& a, const OGRSpatialReference& b) {
    const OGRSpatialReference flat = horizontal(b);
    return horizontal(a).IsSame(&flat) != FALSE;
}

}  // namespace

Layout layout_of(GDALDataset& dataset, const std::string& file, std::vector<std::string>& notes) {
    Layout layout;
    Affine& t = layout.transform;
    if (dataset.GetGeoTransform(t.data()) != CE_None) {
        throw InputError(
            fmt::format("{} doesn't say where it lies (no position of its corner and no cell size)", file));
    }
    check_right_angle(t, file);
    const bool rotated = t[2] != 0 || t[4] != 0;
    const bool mirrored = t[1] * t[5] - t[2] * t[4] > 0;
    if (rotated ? mirrored : t[5] > 0) {
        flip_rows(layout, dataset.GetRasterYSize());
        notes.push_back(fmt::format("{}: stored south-up, turned to north-up", file));
    }
    if (!rotated && t[1] < 0) {
        flip_cols(layout, dataset.GetRasterXSize());
        notes.push_back(fmt::format("{}: stored east to west, turned to west to east", file));
    }
    if (rotated) {
        notes.push_back(fmt::format("{}: its rows run {:.1f} degrees from east, kept so", file,
                                    std::atan2(t[4], t[1]) * 180.0 / std::numbers::pi));
    }
    return layout;
}

OGRSpatialReference dem_crs(GDALDataset& dataset, const std::optional<std::string>& requested,
                            const std::string& file, std::vector<std::string>& notes,
                            const std::string& key_prefix) {
    const OGRSpatialReference* own = dataset.GetSpatialRef();
    OGRSpatialReference crs;
    if (requested) {
        crs = crs_from(*requested);
        if (crs.IsEmpty()) {
            throw InputError(
                fmt::format("{}crs = \"{}\" for {} isn't one PROJ knows; write it like \"EPSG:26917\"",
                            key_prefix, one_line(*requested), file));
        }
        if (has_place(own) && !same_place(*own, crs)) {
            throw InputError(
                fmt::format("{} is in {}, but {}crs under [ground] says {}; take {}crs out or mend the file",
                            file, own->GetName(), key_prefix, crs.GetName(), key_prefix));
        }
        if (!has_place(own))
            notes.push_back(
                fmt::format("{}: has no CRS of its own, {} from the site file", file, crs.GetName()));
    }
    if (has_place(own)) crs = *own;
    if (crs.IsEmpty()) {
        throw InputError(
            fmt::format("{} doesn't say its CRS; add {}crs = \"EPSG:...\" under [ground]", file, key_prefix));
    }
    crs.SetAxisMappingStrategy(OAMS_TRADITIONAL_GIS_ORDER);
    if (!crs.IsProjected() && !crs.IsGeographic()) {
        throw InputError(fmt::format("{}'s CRS ({}) is neither geographic nor projected; warp it first", file,
                                     crs.GetName()));
    }
    return crs;
}

OGRSpatialReference horizontal(const OGRSpatialReference& crs) {
    OGRSpatialReference flat(crs);
    flat.DemoteTo2D(nullptr);
    flat.SetAxisMappingStrategy(OAMS_TRADITIONAL_GIS_ORDER);
    return flat;
}

std::array<double, 2> longitude_latitude(const OGRSpatialReference& crs,
                                         const std::array<double, 2>& position, const std::string& file) {
    const Errors errors;
    OGRSpatialReference wgs84;
    wgs84.importFromEPSG(4326);
    const Transformation to_wgs84 = transformation(crs, wgs84);
    std::array<double, 2> degrees = position;
    if (!to_wgs84 || !to_wgs84->Transform(1, &degrees[0], &degrees[1]) ||
        !std::isfinite(degrees[0] + degrees[1]) || std::abs(degrees[1]) > 90.0) {
        throw InputError(fmt::format("{}'s middle ({}, {}) isn't a place on Earth in its CRS ({})", file,
                                     position[0], position[1], crs.GetName()));
    }
    return degrees;
}

}  // namespace lielow::gdal
