// SPDX-License-Identifier: Apache-2.0
// A layer of a vector file in another format.
#pragma once

#include <filesystem>
#include <string>

namespace lielow {

/// Copies `layer` of `source` to `target` (which must not exist) with GDAL's driver `driver`. False, and
/// nothing written, when this GDAL has no such driver. Throws RunError.
bool copy_layer(const std::filesystem::path& source, const std::string& layer, const std::string& driver,
                const std::filesystem::path& target);

}  // namespace lielow
