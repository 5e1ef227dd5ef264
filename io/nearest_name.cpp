// SPDX-License-Identifier: Apache-2.0
#include "io/nearest_name.hpp"

#include <algorithm>
#include <vector>

namespace lielow {

std::size_t edit_distance(std::string_view a, std::string_view b) {
    std::vector<std::vector<std::size_t>> d(a.size() + 1, std::vector<std::size_t>(b.size() + 1));
    for (std::size_t i = 0; i <= a.size(); ++i) {
        for (std::size_t j = 0; j <= b.size(); ++j) {
            if (i == 0 || j == 0) {
                d[i][j] = i + j;
                continue;
            }
            const std::size_t replace = d[i - 1][j - 1] + (a[i - 1] == b[j - 1] ? 0 : 1);
            d[i][j] = std::min({d[i - 1][j] + 1, d[i][j - 1] + 1, replace});
            const bool swapped = i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1];
            if (swapped) d[i][j] = std::min(d[i][j], d[i - 2][j - 2] + 1);
        }
    }
    return d[a.size()][b.size()];
}

std::string_view nearest_name(std::string_view name, std::span<const std::string_view> known) {
    const auto nearest =
        std::min_element(known.begin(), known.end(), [&](std::string_view a, std::string_view b) {
            return edit_distance(name, a) < edit_distance(name, b);
        });
    return nearest == known.end() ? std::string_view() : *nearest;
}

}  // namespace lielow
