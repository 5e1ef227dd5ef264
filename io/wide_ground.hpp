// SPDX-License-Identifier: Apache-2.0
// A DEM and rasters larger than memory, read and written window by window.
#pragma once

#include <cstdint>
#include <filesystem>
#include <memory>
#include <string>
#include <vector>

#include "io/dem.hpp"
#include "io/raster.hpp"
#include "sim/ground_tiles.hpp"

namespace lielow {

/// A DEM whose heights stay in its file. Holes stay as they are: nothing is bridged.
class WideDem {
  public:
    /// Throws as read_dem, but takes any number of cells (up to 2³¹ − 1 rows and columns) and refuses a
    /// geographic raster: warp it to a projected CRS first.
    explicit WideDem(const DemRequest& request);
    ~WideDem();
    WideDem(const WideDem&) = delete;
    WideDem& operator=(const WideDem&) = delete;

    [[nodiscard]] const Grid& grid() const;
    [[nodiscard]] const GeoReference& geo() const;
    [[nodiscard]] const std::vector<std::string>& notes() const;
    /// Heights in m, NaN where there is none. Throws InputError as read_dem: damaged, a height no land has.
    void read(const Window& window, Field<float>& heights) const;

  private:
    struct Inner;
    std::unique_ptr<Inner> inner_;
};

/// A raster on disk while it is worked on: a tiled GeoTIFF without compression that vanishes with the object.
class ScratchRaster {
  public:
    enum class Kind : std::uint8_t { numbers, codes };
    /// Cells a side of its blocks: tiles of a multiple of it are written without reading any block again.
    static constexpr std::int32_t block = 256;

    ScratchRaster(std::filesystem::path path, const Grid& grid, const GeoReference& geo, Kind kind);
    ~ScratchRaster();
    ScratchRaster(const ScratchRaster&) = delete;
    ScratchRaster& operator=(const ScratchRaster&) = delete;

    /// Numbers: NaN is kept as nodata. Throws RunError (disk full).
    void write(const Window& window, Field<float>&& values);
    void read(const Window& window, Field<float>& values) const;
    void write(const Window& window, Field<std::uint8_t>&& values);
    void read(const Window& window, Field<std::uint8_t>& values) const;
    /// As write_raster, to `path`.
    void copy_to(const std::filesystem::path& path, const BandLabel& label);

  private:
    struct Inner;
    std::unique_ptr<Inner> inner_;
};

}  // namespace lielow
