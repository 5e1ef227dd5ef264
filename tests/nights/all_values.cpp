// SPDX-License-Identifier: Apache-2.0
#include <utility>

#include "tests/nights/published_night.hpp"

namespace lielow::nights {

std::vector<PublishedValue> all_values() {
    std::vector<PublishedValue> values = cooling_values();
    for (PublishedValue& value : pool_values()) values.push_back(std::move(value));
    for (PublishedValue& value : slope_values()) values.push_back(std::move(value));
    return values;
}

}  // namespace lielow::nights
