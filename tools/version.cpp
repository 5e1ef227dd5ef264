// SPDX-License-Identifier: Apache-2.0
#include "tools/version.hpp"

#include <fmt/format.h>

#include "io/library_versions.hpp"
#include "lielow_git_commit.hpp"

namespace lielow {

std::string version() {
    const std::string commit = LIELOW_GIT_COMMIT;
    return commit.empty() ? LIELOW_VERSION : fmt::format("{} ({})", LIELOW_VERSION, commit);
}

std::string version_report() {
    std::string report = fmt::format("lielow {}", version());
    for (const auto& [name, number] : library_versions()) report += fmt::format("\n  {} {}", name, number);
    return report;
}

}  // namespace lielow
