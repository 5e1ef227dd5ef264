// SPDX-License-Identifier: Apache-2.0
#include "tools/root_depth.hpp"

#include <algorithm>

namespace lielow {

bool is_given(const Site& site, std::string_view key) {
    return std::any_of(site.settings.begin(), site.settings.end(), [key](const SiteSetting& setting) {
        return setting.key == key && setting.origin == "site file";
    });
}

double root_depth_m(const Site& site) {
    constexpr double strawberries_m = 0.3;
    constexpr double berry_bushes_m = 0.6;
    if (is_given(site, "drain.root_depth") || !site.crop.kind) return site.drain.root_depth_m;
    if (*site.crop.kind == "strawberry") return strawberries_m;
    return site.crop.kind->ends_with("berry") ? berry_bushes_m : site.drain.root_depth_m;
}

}  // namespace lielow
