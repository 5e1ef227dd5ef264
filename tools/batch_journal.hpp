// SPDX-License-Identifier: Apache-2.0
// What has been tried in an out directory: a line of JSON for each farm that ended, never changed afterwards.
#pragma once

#include <cstdint>
#include <filesystem>
#include <map>
#include <string>

namespace lielow {

struct JournalEntry {
    std::string farm;
    std::string key;    ///< as farm_key(); empty when the inputs couldn't even be read
    std::string error;  ///< one line; empty = done
    int exit_status = 0;
    double seconds = 0;
    std::uint64_t peak_memory_bytes = 0;
};

/// Only one process may append to one journal: a call for one row has its own, named after the farm.
class Journal {
  public:
    /// `farm` empty: the journal of a whole batch, journal.jsonl.
    Journal(const std::filesystem::path& out, const std::string& farm_folder);

    /// One line, on the disk when this returns. Throws RunError.
    void append(const JournalEntry& entry) const;

  private:
    std::filesystem::path file_;
};

/// The last entry of each farm over all journals in `out`, by name; a line cut short by a crash is passed
/// over. Where both kinds speak of a farm, its own journal counts.
std::map<std::string, JournalEntry> read_journals(const std::filesystem::path& out);

}  // namespace lielow
