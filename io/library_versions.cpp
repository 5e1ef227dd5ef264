// SPDX-License-Identifier: Apache-2.0
#include "io/library_versions.hpp"

#include <gdal.h>
#include <proj.h>

namespace lielow {

std::vector<std::pair<std::string, std::string>> library_versions() {
    const PJ_INFO proj = proj_info();
    return {{"GDAL", GDALVersionInfo("RELEASE_NAME")}, {"PROJ", proj.version}};
}

}  // namespace lielow
