// SPDX-License-Identifier: Apache-2.0
#include "io/gdal_outline.hpp"

#include <fmt/format.h>
#include <geos_c.h>

#include <cmath>

#include "sim/errors.hpp"

namespace lielow::gdal {
namespace {

struct Fault {
    std::string reason;  // GEOS's words; empty when sound
    double x = 0;
    double y = 0;
};

Fault fault_in(const OGRGeometry& geometry) {
    const GEOSContextHandle_t geos = OGRGeometry::createGEOSContext();
    GEOSGeometry* shape = geometry.exportToGEOS(geos);
    Fault fault;
    if (shape == nullptr) fault.reason = "not enough points";
    char* reason = nullptr;
    GEOSGeometry* place = nullptr;
    if (shape != nullptr && GEOSisValidDetail_r(geos, shape, 0, &reason, &place) != 1) {
        fault.reason = reason == nullptr ? "unsound" : reason;
        if (place != nullptr) {
            GEOSGeomGetX_r(geos, place, &fault.x);
            GEOSGeomGetY_r(geos, place, &fault.y);
        }
    }
    if (reason != nullptr) GEOSFree_r(geos, reason);
    if (place != nullptr) GEOSGeom_destroy_r(geos, place);
    if (shape != nullptr) GEOSGeom_destroy_r(geos, shape);
    OGRGeometry::freeGEOSContext(geos);
    return fault;
}

[[noreturn]] void refuse(const Fault& fault, const std::string& field, const OGRSpatialReference& crs,
                         const std::string& file) {
    const int digits = crs.IsGeographic() ? 6 : 1;
    const bool crosses = fault.reason.find("elf-intersection") != std::string::npos;
    const std::string what =
        crosses ? "crosses itself" : fmt::format("has an unsound outline ({})", one_line(fault.reason));
    throw InputError(fmt::format("{}: field \"{}\" {} near {:.{}f}, {:.{}f}; mend the outline", file, field,
                                 what, fault.x, digits, fault.y, digits));
}

}  // namespace

Polygons flat_polygons(const OGRGeometry& geometry) {
    std::unique_ptr<OGRGeometry> flat(geometry.getLinearGeometry());
    if (!flat) return nullptr;
    flat->flattenTo2D();
    flat->closeRings();
    flat.reset(OGRGeometryFactory::forceToMultiPolygon(flat.release()));
    if (!flat || wkbFlatten(flat->getGeometryType()) != wkbMultiPolygon || flat->IsEmpty()) return nullptr;
    return Polygons(flat.release()->toMultiPolygon());
}

Polygons sound(Polygons polygons, const std::string& field, const OGRSpatialReference& crs,
               const std::string& file, std::vector<std::string>& notes) {
    const Errors errors;
    const Fault fault = fault_in(*polygons);
    if (fault.reason.empty()) return polygons;
    std::unique_ptr<OGRGeometry> mended(polygons->MakeValid());
    Polygons whole = mended ? flat_polygons(*mended) : nullptr;
    // A ring's area is summed with sign, so the loops of a figure of eight cancel out and the mended area
    // differs.
    const double before = polygons->get_Area();
    const bool only_touches = whole && before > 0 && std::abs(whole->get_Area() - before) <= 1e-9 * before;
    if (!only_touches) refuse(fault, field, crs, file);
    notes.push_back(fmt::format(
        "{}: field \"{}\" touches itself; its outline was mended, its area is unchanged", file, field));
    return whole;
}

Polygons extent_of(const Grid& grid, const GeoReference& geo) {
    auto* ring = new OGRLinearRing;
    for (const auto& [col, row] : {std::pair{0, 0}, std::pair{grid.cols, 0}, std::pair{grid.cols, grid.rows},
                                   std::pair{0, grid.rows}, std::pair{0, 0}}) {
        const auto at = geo.at(col, row);
        ring->addPoint(at[0], at[1]);
    }
    auto* polygon = new OGRPolygon;
    polygon->addRingDirectly(ring);
    Polygons extent = std::make_unique<OGRMultiPolygon>();
    extent->addGeometryDirectly(polygon);
    return extent;
}

std::vector<unsigned char> wkb_of(const OGRGeometry& geometry) {
    std::vector<unsigned char> bytes(static_cast<std::size_t>(geometry.WkbSize()));
    geometry.exportToWkb(wkbNDR, bytes.data(), wkbVariantIso);
    return bytes;
}

}  // namespace lielow::gdal
