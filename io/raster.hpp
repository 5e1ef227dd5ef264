// SPDX-License-Identifier: Apache-2.0
// Results as Cloud-Optimized GeoTIFF: overviews, statistics, description and unit inside the file.
#pragma once

#include <array>
#include <cstdint>
#include <filesystem>
#include <span>
#include <string>

#include "io/georef.hpp"
#include "sim/grid.hpp"

namespace lielow {

/// What a band says of itself.
struct BandLabel {
    std::string name;         ///< also the file's stem
    std::string description;  ///< one sentence
    std::string unit;         ///< as in GeoTIFF's unit type: "m", "degC", "K"; "" for a pure number
};

/// One class of a class raster.
struct RasterClass {
    std::uint8_t value = 0;                ///< 0..254
    std::string name;                      ///< as a legend shows it
    std::array<std::uint8_t, 3> colour{};  ///< red, green, blue
};

/// Value of a cell without a class.
inline constexpr std::uint8_t kNoClass = 255;

/// Writes float32 with nodata -9999 (NaN becomes nodata) to `path` itself, so give it a path in a staging
/// folder. Consumes the values, so that a large raster needn't be held twice. Throws RunError (disk full, not
/// writable). The bytes depend on nothing but the arguments and the versions of the libraries: no date is
/// kept.
void write_raster(const std::filesystem::path& path, const GeoReference& geo, Field<float>&& values,
                  const BandLabel& label);

/// Writes classes as bytes with nodata 255, a colour table, statistics, and overviews by the most frequent
/// class. The classes' names and the attribute table (value, name, colour and number of cells of each) can't
/// lie in a GeoTIFF: GDAL keeps them beside it in `path`.aux.xml. Otherwise as write_raster.
void write_class_raster(const std::filesystem::path& path, const GeoReference& geo,
                        Field<std::uint8_t>&& values, const BandLabel& label,
                        std::span<const RasterClass> classes);

/// Reads back what write_raster wrote, nodata as NaN. Throws InputError in one line when the file is missing,
/// isn't such a raster, or doesn't lie on exactly this grid.
Field<float> read_raster(const std::filesystem::path& path, const Grid& grid, const GeoReference& geo);

}  // namespace lielow
