// SPDX-License-Identifier: Apache-2.0
// Class rasters of this run that a part before has written.
#pragma once

#include <optional>
#include <string_view>

#include "tools/site_run.hpp"

namespace lielow {

/// rasters/NAME.tif of the results in the making; nothing where this run has none.
std::optional<Field<std::uint8_t>> staged_classes(const SiteRun& run, std::string_view name);

/// Classes that read_raster() read.
Field<std::uint8_t> to_classes(const Field<float>& values);

}  // namespace lielow
