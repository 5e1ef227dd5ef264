// SPDX-License-Identifier: Apache-2.0
// Results appear under their final names all together and whole, or not at all.
#pragma once

#include <filesystem>
#include <vector>

namespace lielow {

/// A hidden folder inside the out directory in which results are written. commit() moves them to their final
/// names; without it the folder vanishes with the object and older results stay as they were.
///
/// A folder left behind by a run that was killed is removed by the next run into the same out directory. A
/// run that still lives holds a lock on its folder, so two runs into one directory don't disturb each other.
class Staging {
  public:
    /// Makes `out` (and the folders above it) if need be. Throws InputError in one line when it can't be
    /// written into.
    explicit Staging(const std::filesystem::path& out);
    ~Staging();
    Staging(const Staging&) = delete;
    Staging& operator=(const Staging&) = delete;

    /// Where to write the result that will be `out`/`relative`; makes sub-folders. Throws RunError.
    [[nodiscard]] std::filesystem::path path(const std::filesystem::path& relative) const;

    /// Renames every file to its final name, replacing an older one (and dropping an older GDAL side file
    /// that no longer belongs to it). Checks all names before it moves the first. Throws RunError; files are
    /// then where they were unless the file system failed in the middle, and each is whole in any case.
    void commit();

  private:
    std::filesystem::path out_;
    std::filesystem::path folder_;
    int lock_ = -1;
    std::vector<std::filesystem::path> made_;  ///< folders that were not there before, the innermost first
};

}  // namespace lielow
