// SPDX-License-Identifier: Apache-2.0
// Layers of sites.gpkg that tell where water runs.
#pragma once

#include <span>
#include <string>
#include <vector>

#include "io/sites_gpkg.hpp"
#include "sim/drainage_ways.hpp"

namespace lielow {

/// Layer "drainage_ways": a line for each stretch, through the middles of its cells.
VectorLayer drainage_ways_layer(const GeoReference& geo, const Grid& grid, std::span<const DrainageWay> ways);

/// Layer "field_sources": the ground whose water runs through each field, the field itself included.
VectorLayer field_sources_layer(std::vector<Wkb> outlines, std::vector<std::string> names,
                                std::vector<double> areas_m2);

}  // namespace lielow
