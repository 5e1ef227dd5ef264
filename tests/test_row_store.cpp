// SPDX-License-Identifier: Apache-2.0
// Rows in files: what is written comes back, and what goes wrong is said in one line.
#include <gtest/gtest.h>
#include <sys/resource.h>

#include <csignal>
#include <filesystem>
#include <string>
#include <vector>

#include "io/row_store.hpp"
#include "sim/errors.hpp"
#include "support/temp_dir.hpp"

namespace lielow {
namespace {

using testing::TempDir;

std::size_t files_in(const std::filesystem::path& folder) {
    std::size_t count = 0;
    for ([[maybe_unused]] const auto& entry : std::filesystem::directory_iterator(folder)) ++count;
    return count;
}

TEST(RowStore, RowsComeBackAndFilesVanish) {
    const TempDir dir;
    {
        FileRowStore store(dir.path() / "scratch");
        store.lay_out(0, 5, 3);
        store.lay_out(7, 2, 4);
        const std::vector<float> two_rows{1, 2, 3, 4, 5, 6};
        store.write(0, 3, two_rows);
        store.write(7, 1, std::vector<float>{9, 8, 7, 6});
        store.write(0, 2, std::vector<float>{-1, -2, -3});
        std::vector<float> back(6);
        store.read(0, 2, back);
        EXPECT_EQ(back, (std::vector<float>{-1, -2, -3, 1, 2, 3}));
        back.resize(4);
        store.read(7, 1, back);
        EXPECT_EQ(back, (std::vector<float>{9, 8, 7, 6}));
        store.lay_out(0, 2, 2);  // anew, with other rows
        store.write(0, 1, std::vector<float>{5, 6});
        back.resize(2);
        store.read(0, 1, back);
        EXPECT_EQ(back, (std::vector<float>{5, 6}));
        EXPECT_THROW(store.read(0, 2, back), RunError);
        EXPECT_THROW(store.read(3, 0, back), RunError);
        EXPECT_EQ(files_in(dir.path()), 2U);
    }
    EXPECT_EQ(files_in(dir.path()), 0U);
}

TEST(RowStore, FolderThatIsNotThereIsTold) {
    const TempDir dir;
    FileRowStore store(dir.path() / "none" / "scratch");
    try {
        store.lay_out(0, 1, 1);
        FAIL();
    } catch (const RunError& error) {
        EXPECT_NE(std::string(error.what()).find("scratch_0.rows: No such file"), std::string::npos);
    }
}

TEST(RowStore, FileThatMayNotGrowIsTold) {
    const TempDir dir;
    rlimit before{};
    getrlimit(RLIMIT_FSIZE, &before);
    const auto handler = std::signal(SIGXFSZ, SIG_IGN);
    rlimit small = before;
    small.rlim_cur = 4096;
    setrlimit(RLIMIT_FSIZE, &small);
    std::string said;
    try {
        FileRowStore store(dir.path() / "scratch");
        store.lay_out(0, 1000, 100);
        store.write(0, 999, std::vector<float>(100));
    } catch (const RunError& error) {
        said = error.what();
    }
    setrlimit(RLIMIT_FSIZE, &before);
    std::signal(SIGXFSZ, handler);
    EXPECT_NE(said.find("scratch_0.rows: File too large"), std::string::npos) << said;
    EXPECT_EQ(said.find('\n'), std::string::npos);
    EXPECT_EQ(files_in(dir.path()), 0U);
}

}  // namespace
}  // namespace lielow
