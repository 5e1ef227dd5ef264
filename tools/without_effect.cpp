// SPDX-License-Identifier: Apache-2.0
#include "tools/without_effect.hpp"

#include <fmt/format.h>

namespace lielow {

void tell_keys_without_effect(const Site& site) {
    const auto keys = keys_without_effect(site);
    if (!keys.empty())
        fmt::print(stderr, "lielow: noted, not used by this version yet: {}\n", fmt::join(keys, ", "));
}

}  // namespace lielow
