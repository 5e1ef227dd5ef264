// SPDX-License-Identifier: Apache-2.0
#include "io/library_versions.hpp"

#include <fmt/format.h>
#include <gdal.h>
#include <openssl/crypto.h>
#include <proj.h>
#include <toml++/impl/version.h>

namespace lielow {

std::vector<std::pair<std::string, std::string>> library_versions() {
    const PJ_INFO proj = proj_info();
    return {
        {"GDAL", GDALVersionInfo("RELEASE_NAME")},
        {"PROJ", proj.version},
        {"UDUNITS", LIELOW_UDUNITS_VERSION},
        {"OpenSSL", OpenSSL_version(OPENSSL_VERSION_STRING)},
        {"toml++", fmt::format("{}.{}.{}", TOML_LIB_MAJOR, TOML_LIB_MINOR, TOML_LIB_PATCH)},
    };
}

}  // namespace lielow
