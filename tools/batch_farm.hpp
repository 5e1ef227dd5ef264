// SPDX-License-Identifier: Apache-2.0
// One farm's folder in the out directory: whether it is done, who works on it, and how it appears all at
// once.
#pragma once

#include <filesystem>
#include <map>
#include <string>
#include <vector>

#include "tools/batch_list.hpp"

namespace lielow {

/// Checksums of inputs, each file read once however many farms share it.
class InputSums {
  public:
    /// Name, size and SHA-256 of every file behind `input`. Throws InputError.
    std::string of(const std::filesystem::path& input);

  private:
    std::map<std::string, std::string> known_;
};

/// SHA-256 over all that a farm's results depend on: this version, the parts asked for, the site file, the
/// bytes of its inputs. Throws InputError for an input that can't be read.
std::string farm_key(const BatchRow& row, const std::vector<std::string>& only, InputSums& sums);

/// Where a farm's results lie, and are made.
class FarmFolder {
  public:
    FarmFolder(const std::filesystem::path& out, const std::string& folder);

    [[nodiscard]] const std::filesystem::path& results() const { return results_; }
    /// Beside `results`, and as deep, so that relative paths in the site file hold in both.
    [[nodiscard]] const std::filesystem::path& work() const { return work_; }
    [[nodiscard]] std::filesystem::path site_file() const { return work_ / "site.toml"; }

    /// The key that the results carry; empty where there are none or they aren't whole.
    [[nodiscard]] std::string key() const;

    /// An empty work folder with the site file in it. Throws RunError.
    void begin(const BatchRow& row) const;
    /// Puts the key into the work folder and the work folder in the results' place, in one step. Throws
    /// RunError.
    void commit(const std::string& key) const;
    void discard() const;

  private:
    std::filesystem::path results_;
    std::filesystem::path work_;
};

/// A lock on a farm across processes and, where the file system passes it on, machines. Freed with the last
/// process that holds it, so a child that has inherited it keeps it.
class FarmLock {
  public:
    /// Waits up to `patience_s` seconds. Throws RunError when the lock can't be made, InputError when it is
    /// held.
    FarmLock(const std::filesystem::path& out, const std::string& folder, double patience_s);
    ~FarmLock();
    FarmLock(const FarmLock&) = delete;
    FarmLock& operator=(const FarmLock&) = delete;
    [[nodiscard]] int handle() const { return handle_; }

  private:
    int handle_ = -1;
};

/// Throws RunError in one line, with the system's reason, when a file can't be written whole and onto the
/// disk.
void write_durably(const std::filesystem::path& file, const std::string& text);

}  // namespace lielow
