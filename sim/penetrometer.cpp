// SPDX-License-Identifier: Apache-2.0
#include "sim/penetrometer.hpp"

#include <algorithm>
#include <array>
#include <limits>

namespace lielow {

double hard_share(std::span<const double> readings_pa) {
    if (readings_pa.empty()) return std::numeric_limits<double>::quiet_NaN();
    const auto hard = std::count_if(readings_pa.begin(), readings_pa.end(),
                                    [](double pressure) { return pressure > root_stop_pa; });
    return static_cast<double>(hard) / static_cast<double>(readings_pa.size());
}

Loosening loosening_by_practice(double share) {
    if (share >= 0.5) return Loosening::loosen;
    return share >= 1.0 / 3 ? Loosening::look : Loosening::no_benefit;
}

std::string_view loosening_name(Loosening loosening) {
    constexpr std::array<std::string_view, 3> names{"no benefit from loosening expected", "look into it",
                                                    "loosen"};
    return names.at(static_cast<std::size_t>(loosening));
}

const CompactionReading& compaction_by_table(double share) {
    static constexpr std::array<CompactionReading, 4> table{{{0.30, "little to none", false},
                                                             {0.50, "slight", false},
                                                             {0.75, "moderate", true},
                                                             {2, "severe", true}}};
    return *std::find_if(table.begin(), table.end() - 1,
                         [share](const CompactionReading& row) { return share < row.below; });
}

}  // namespace lielow
