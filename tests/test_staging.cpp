// SPDX-License-Identifier: Apache-2.0
// Whole results under their final names, or none.
#include "io/staging.hpp"

#include <gtest/gtest.h>
#include <sys/wait.h>
#include <unistd.h>

#include <csignal>
#include <optional>

#include "sim/errors.hpp"
#include "support/temp_dir.hpp"

namespace lielow {
namespace {

namespace fs = std::filesystem;
using testing::complaint;
using testing::holds;
using testing::read_text;
using testing::TempDir;
using testing::write_text;

std::size_t entries(const fs::path& folder) {
    return static_cast<std::size_t>(std::distance(fs::directory_iterator(folder), fs::directory_iterator()));
}

TEST(Staging, CommitGivesFinalNames) {
    const TempDir dir;
    const fs::path out = dir / "a/b/out";
    {
        Staging staging(out);
        write_text(staging.path("summary.json"), "{}");
        write_text(staging.path("rasters/fill_stage.tif"), "tif");
        EXPECT_FALSE(fs::exists(out / "summary.json"));
        staging.commit();
    }
    EXPECT_EQ(read_text(out / "summary.json"), "{}");
    EXPECT_EQ(read_text(out / "rasters/fill_stage.tif"), "tif");
    EXPECT_EQ(entries(out), 2U);
}

TEST(Staging, TrailingSlashIsNoMatter) {
    const TempDir dir;
    Staging staging(dir.path().string() + "/out/");
    write_text(staging.path("rasters/x.tif"), "x");
    staging.commit();
    EXPECT_EQ(read_text(dir / "out/rasters/x.tif"), "x");
}

TEST(Staging, WithoutCommitOlderResultsStand) {
    const TempDir dir;
    write_text(dir / "summary.json", "old");
    {
        const Staging staging(dir.path());
        write_text(staging.path("summary.json"), "half of the n");
        write_text(staging.path("rasters/x.tif"), "x");
    }
    EXPECT_EQ(read_text(dir / "summary.json"), "old");
    EXPECT_EQ(entries(dir.path()), 1U);
}

TEST(Staging, CommitReplacesOlderResultsAndTheirSideFiles) {
    const TempDir dir;
    fs::create_directories(dir / "rasters");
    write_text(dir / "rasters/siting.tif", "old");
    write_text(dir / "rasters/siting.tif.aux.xml", "old classes");
    write_text(dir / "rasters/own.txt", "the person's own");
    {
        Staging staging(dir.path());
        write_text(staging.path("rasters/siting.tif"), "new");
        staging.commit();
    }
    EXPECT_EQ(read_text(dir / "rasters/siting.tif"), "new");
    EXPECT_FALSE(fs::exists(dir / "rasters/siting.tif.aux.xml"));
    EXPECT_EQ(read_text(dir / "rasters/own.txt"), "the person's own");
}

TEST(Staging, NewSideFilesArePutInPlace) {
    const TempDir dir;
    write_text(dir / "siting.tif.aux.xml", "old classes");
    Staging staging(dir.path());
    write_text(staging.path("siting.tif"), "new");
    write_text(staging.path("siting.tif.aux.xml"), "new classes");
    staging.commit();
    EXPECT_EQ(read_text(dir / "siting.tif.aux.xml"), "new classes");
}

TEST(Staging, ARunThatFailsAtStartLeavesNoFolder) {
    const TempDir dir;
    { const Staging staging(dir / "out"); }
    EXPECT_FALSE(fs::exists(dir / "out"));
}

TEST(Staging, OutThatIsAFile) {
    const TempDir dir;
    write_text(dir / "out", "a file");
    const std::string text = complaint<InputError>([&] { const Staging staging(dir / "out"); });
    EXPECT_TRUE(holds(text, "can't write into " + (dir / "out").string() + ": it is a file, not a folder"));
    EXPECT_EQ(read_text(dir / "out"), "a file");
    EXPECT_TRUE(
        holds(complaint<InputError>([&] { const Staging staging(dir / "out/below"); }), "can't write into "));
}

/// Runs `body` in a child that has no rights (root's would pass every check); 0 when it returned true.
template <class Body>
int in_child(bool drop_rights, Body body) {
    const pid_t child = ::fork();
    if (child == 0) {
        if (drop_rights && ::geteuid() == 0 && ::setuid(65534) != 0) ::_exit(2);
        ::_exit(body() ? 0 : 1);
    }
    int status = 0;
    ::waitpid(child, &status, 0);
    return WIFEXITED(status) ? WEXITSTATUS(status) : 128;
}

TEST(Staging, OutThatIsntWritable) {
    const TempDir dir;
    fs::create_directory(dir / "out");
    fs::permissions(dir.path(), fs::perms::owner_all | fs::perms::others_read | fs::perms::others_exec);
    fs::permissions(dir / "out", fs::perms::owner_read | fs::perms::owner_exec | fs::perms::others_read |
                                     fs::perms::others_exec);
    for (const char* name : {"out", "out/new"}) {
        EXPECT_EQ(in_child(true,
                           [&] {
                               try {
                                   const Staging staging(dir / name);
                               } catch (const InputError& error) {
                                   const std::string text = error.what();
                                   return text == "can't write into " + (dir / name).string() +
                                                      ": Permission denied; choose another folder with --out";
                               }
                               return false;
                           }),
                  0)
            << name;
    }
}

TEST(Staging, NothingIsMovedWhenOneNameIsTaken) {
    const TempDir dir;
    write_text(dir / "a.json", "old");
    fs::create_directory(dir / "z.json");
    Staging staging(dir.path());
    write_text(staging.path("a.json"), "new");
    write_text(staging.path("z.json"), "new");
    EXPECT_TRUE(
        holds(complaint<RunError>([&] { staging.commit(); }), "a folder of that name stands in its place"));
    EXPECT_EQ(read_text(dir / "a.json"), "old");
}

TEST(Staging, NothingIsMovedWhenAFileStandsWhereAFolderBelongs) {
    const TempDir dir;
    write_text(dir / "a.json", "old");
    write_text(dir / "rasters", "a file");
    Staging staging(dir.path());
    write_text(staging.path("a.json"), "new");
    write_text(staging.path("rasters/x.tif"), "new");
    EXPECT_TRUE(holds(complaint<RunError>([&] { staging.commit(); }), "rasters is a file"));
    EXPECT_EQ(read_text(dir / "a.json"), "old");
}

TEST(Staging, FolderOfAKilledRunIsRemovedByTheNext) {
    const TempDir dir;
    EXPECT_EQ(in_child(false,
                       [&] {
                           const Staging staging(dir.path());
                           write_text(staging.path("rasters/x.tif"), "half");
                           std::raise(SIGKILL);
                           return true;
                       }),
              128);
    EXPECT_EQ(entries(dir.path()), 1U);
    const Staging next(dir.path());
    EXPECT_EQ(entries(dir.path()), 1U);
    EXPECT_FALSE(fs::exists(dir.path() / fs::directory_iterator(dir.path())->path() / "rasters"));
}

TEST(Staging, FolderOfALivingRunIsLeftAlone) {
    const TempDir dir;
    const Staging first(dir.path());
    const fs::path file = first.path("x.tif");
    write_text(file, "growing");
    EXPECT_EQ(in_child(false, [&] { return Staging(dir.path()).path("y.tif") != file; }), 0);
    EXPECT_EQ(read_text(file), "growing");
}

}  // namespace
}  // namespace lielow
