// SPDX-License-Identifier: Apache-2.0
#include "tools/staged_classes.hpp"

#include <fmt/format.h>

#include "io/raster.hpp"

namespace lielow {

Field<std::uint8_t> to_classes(const Field<float>& values) {
    Field<std::uint8_t> classes(values.rows(), values.cols());
    for (std::size_t c = 0; c < classes.size(); ++c)
        classes[c] = values[c] >= 0 && values[c] < kNoClass ? static_cast<std::uint8_t>(values[c]) : kNoClass;
    return classes;
}

std::optional<Field<std::uint8_t>> staged_classes(const SiteRun& run, std::string_view name) {
    const std::filesystem::path path = run.staging.path(fmt::format("rasters/{}.tif", name));
    std::error_code ignored;
    if (!std::filesystem::exists(path, ignored)) return std::nullopt;
    return to_classes(read_raster(path, run.dem.ground.grid, run.dem.geo));
}

}  // namespace lielow
