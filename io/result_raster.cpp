// SPDX-License-Identifier: Apache-2.0
#include "io/result_raster.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <limits>

#include "io/gdal_session.hpp"
#include "sim/errors.hpp"

namespace lielow {

Field<float> read_result_raster(const std::filesystem::path& path, const Grid& grid) {
    gdal::start();
    const gdal::Errors errors;
    const gdal::Dataset file(GDALDataset::Open(path.c_str(), GDAL_OF_RASTER | GDAL_OF_READONLY));
    const bool fits = file && file->GetRasterCount() == 1 && file->GetRasterXSize() == grid.cols &&
                      file->GetRasterYSize() == grid.rows;
    if (!fits)
        throw RunError(fmt::format(
            "{} isn't the raster that an earlier run of this ground wrote; run it again", path.string()));
    Field<float> values(grid.rows, grid.cols);
    GDALRasterBand& band = *file->GetRasterBand(1);
    if (band.RasterIO(GF_Read, 0, 0, grid.cols, grid.rows, values.data(), grid.cols, grid.rows, GDT_Float32,
                      0, 0, nullptr) != CE_None)
        throw RunError(fmt::format("{} can't be read back ({})", path.string(), errors.text()));
    int has_none = 0;
    const auto none = static_cast<float>(band.GetNoDataValue(&has_none));
    for (float& value : values.all()) {
        if (has_none != 0 && value == none) value = std::numeric_limits<float>::quiet_NaN();
    }
    return values;
}

std::vector<std::filesystem::path> rasters_in(const std::filesystem::path& folder) {
    std::vector<std::filesystem::path> rasters;
    if (!std::filesystem::exists(folder)) return rasters;
    for (const auto& entry : std::filesystem::directory_iterator(folder)) {
        if (entry.path().extension() == ".tif") rasters.push_back(entry.path());
    }
    std::sort(rasters.begin(), rasters.end());
    return rasters;
}

}  // namespace lielow
