// SPDX-License-Identifier: Apache-2.0
// The night against published magnitudes (tests/nights/): each is inside its band, or outside for a known
// reason.
#include <gtest/gtest.h>

#include <cstdio>
#include <ostream>

#include "tests/nights/published_night.hpp"

namespace lielow::nights {

void PrintTo(const PublishedValue& value, std::ostream* out) {
    *out << value.name;
}

namespace {

class PublishedNight : public testing::TestWithParam<PublishedValue> {};

TEST_P(PublishedNight, LiesInTheBand) {
    const PublishedValue& value = GetParam();
    NightSetup defaults;
    defaults.sheets = usual_sheets;
    const double ours = value.measure(defaults);
    std::printf("%s: %.3g %s, published %.3g to %.3g (%s; %s)\n", value.quantity.c_str(), ours,
                value.unit.c_str(), value.low, value.high, value.source.c_str(), value.printed.c_str());
    if (value.open_defect.empty()) {
        EXPECT_TRUE(value.holds(ours)) << ours << ' ' << value.unit;
    } else {
        ASSERT_FALSE(value.holds(ours)) << "inside by now; take out the note: " << value.open_defect;
        GTEST_SKIP() << value.open_defect;
    }
}

INSTANTIATE_TEST_SUITE_P(All, PublishedNight, testing::ValuesIn(all_values()),
                         [](const auto& info) { return info.param.name; });

}  // namespace
}  // namespace lielow::nights
