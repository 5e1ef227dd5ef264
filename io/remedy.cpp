// SPDX-License-Identifier: Apache-2.0
#include "io/remedy.hpp"

#include <algorithm>

namespace lielow {

const std::vector<std::string_view>& remedy_kind_names() {
    static const std::vector<std::string_view> names{"raised bed",  "drains",     "ditch", "bank",
                                                     "gap",         "tree belt",  "hedge", "fan",
                                                     "moved field", "later stage"};
    return names;
}

std::string_view remedy_kind_name(RemedyKind kind) {
    return remedy_kind_names()[static_cast<std::size_t>(kind)];
}

bool is_obstacle(RemedyKind kind) {
    return kind == RemedyKind::bank || kind == RemedyKind::gap || kind == RemedyKind::tree_belt ||
           kind == RemedyKind::hedge || kind == RemedyKind::fan;
}

bool Remedy::acts_in(const std::string& field) const {
    return fields.empty() || std::find(fields.begin(), fields.end(), field) != fields.end();
}

}  // namespace lielow
