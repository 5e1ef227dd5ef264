// SPDX-License-Identifier: Apache-2.0
#include "tools/root_depth.hpp"

#include <algorithm>

#include "io/crop_needs.hpp"

namespace lielow {

bool is_given(const Site& site, std::string_view key) {
    return std::any_of(site.settings.begin(), site.settings.end(), [key](const SiteSetting& setting) {
        return setting.key == key && setting.origin == "site file";
    });
}

double root_depth_m(const Site& site) {
    if (is_given(site, "drain.root_depth") || !site.crop.kind) return site.drain.root_depth_m;
    const std::vector<CropNeeds> needs = read_crop_needs(site.crop.table);
    const CropNeed* wanted = find_crop_need(needs, *site.crop.kind, "free depth");
    return wanted == nullptr ? site.drain.root_depth_m : wanted->first;
}

}  // namespace lielow
