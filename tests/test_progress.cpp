// SPDX-License-Identifier: Apache-2.0
#include "tools/progress.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cstdlib>
#include <functional>

namespace lielow {
namespace {

/// What a Progress of this style writes while `work` goes on.
std::string written(ProgressStyle style, const std::function<void(Progress&)>& work) {
    char* bytes = nullptr;
    std::size_t size = 0;
    std::FILE* stream = open_memstream(&bytes, &size);
    {
        Progress progress(stream, style);
        work(progress);
    }
    std::fclose(stream);
    std::string text(bytes, size);
    std::free(bytes);
    return text;
}

void two_stages(Progress& progress) {
    progress.begin("filling");
    for (int i = 0; i <= 1000; ++i) progress.at(i / 1000.0);
    progress.begin("writing");
    progress.end();
}

TEST(Progress, LinesAreFew) {
    const std::string text = written(ProgressStyle::lines, two_stages);
    EXPECT_EQ(text, "filling ...\nfilling: 0.0 s\nwriting ...\nwriting: 0.0 s\n");
}

TEST(Progress, SilentIsSilentButKeepsTheTimes) {
    const std::string text = written(ProgressStyle::silent, [](Progress& progress) {
        two_stages(progress);
        ASSERT_EQ(progress.times().size(), 2U);
        EXPECT_EQ(progress.times()[0].name, "filling");
        EXPECT_EQ(progress.times()[1].name, "writing");
        EXPECT_GE(progress.times()[0].seconds, 0.0);
    });
    EXPECT_EQ(text, "");
}

TEST(Progress, BarFitsALineAndIsWipedInTheEnd) {
    const std::string text = written(ProgressStyle::bar, two_stages);
    EXPECT_NE(text.find("\rfilling                [..............................]   0 %"), std::string::npos)
        << text;
    std::size_t longest = 0;
    for (std::size_t from = 0; from < text.size();) {
        const std::size_t to = std::min(text.find_first_of("\r\n", from), text.size());
        longest = std::max(longest, to - from);
        from = to + 1;
    }
    EXPECT_LT(longest, 80U);
    const std::string wiped = std::string(1, '\r').append(79, ' ').append("\rwriting: 0.0 s\n");
    EXPECT_EQ(text.substr(text.size() - wiped.size()), wiped);
}

TEST(Progress, AnInterruptedBarLeavesACleanLine) {
    const std::string text =
        written(ProgressStyle::bar, [](Progress& progress) { progress.begin("filling"); });
    EXPECT_EQ(text.substr(text.size() - 81), std::string(1, '\r').append(79, ' ').append("\r"));
}

TEST(Progress, NotATerminalGetsLines) {
    std::FILE* file = std::tmpfile();
    EXPECT_EQ(progress_style_for(file, false), ProgressStyle::lines);
    EXPECT_EQ(progress_style_for(file, true), ProgressStyle::silent);
    std::fclose(file);
}

}  // namespace
}  // namespace lielow
