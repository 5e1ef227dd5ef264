// SPDX-License-Identifier: Apache-2.0
// A storm of one's own: a table of time and of the rain fallen by then.
#pragma once

#include <filesystem>

#include "sim/hyetograph.hpp"

namespace lielow {

/// Columns `hours`, and `rain_in` or `rain_mm` (or another unit of length): rain since the start of the
/// storm, which never falls from row to row. A first row later than 0 h begins with no rain at 0 h. Throws
/// InputError in one line that names the file, and the row where there is one.
MassCurve read_rain_table(const std::filesystem::path& file);

}  // namespace lielow
