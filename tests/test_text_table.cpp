// SPDX-License-Identifier: Apache-2.0
#include "tools/text_table.hpp"

#include <gtest/gtest.h>

namespace lielow {
namespace {

TEST(TextTable, NumbersAreFlushRightAndWidthsCountCharacters) {
    EXPECT_EQ(to_text({{"field", "low, °F"}, {{"Top", "30.2"}, {"Überacker", "-4.0"}}}),
              "field      low, °F\n"
              "---------  -------\n"
              "Top           30.2\n"
              "Überacker     -4.0\n");
}

TEST(TextTable, TextsAreFlushLeft) {
    EXPECT_EQ(to_text({{"key", "in force"}, {{"units", "us"}}, false}),
              "key    in force\n"
              "-----  --------\n"
              "units  us\n");
}

TEST(TextTable, HeadsOfSeveralLinesStandOnTheRule) {
    EXPECT_EQ(to_text({{"field", "under water,\nacres"}, {{"Top", "1.25"}}}),
              "       under water,\n"
              "field         acres\n"
              "-----  ------------\n"
              "Top            1.25\n");
}

}  // namespace
}  // namespace lielow
