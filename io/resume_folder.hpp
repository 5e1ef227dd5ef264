// SPDX-License-Identifier: Apache-2.0
// A run's state on disk, kept while it runs so that a killed run can go on from there.
//
// In the out directory stands .lielow.resume/ with, for each computation NAME, NAME.state (all that changes,
// of the latest keeping) and NAME.0001, NAME.0002 ... (what each keeping added to lists that only grow). A
// file is written under another name, flushed to the disk and then renamed, the state last: whenever the run
// is killed, the state there is a whole one and all it refers to is there. Every file carries the run's key
// and its own checksum.
#pragma once

#include <filesystem>
#include <functional>
#include <memory>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "sim/state_walk.hpp"

namespace lielow {

/// SHA-256 of texts, each with its length, as hexadecimal digits: a key that changes when any of them does.
std::string key_of(const std::vector<std::string>& texts);

class ResumeFolder {
  public:
    /// With `resume` what was kept under the same key is taken up; anything else there is removed. Another
    /// run that lives and keeps its state there is left alone; this one then keeps nothing.
    ResumeFolder(std::filesystem::path out, std::string key, bool resume);
    ~ResumeFolder();
    ResumeFolder(const ResumeFolder&) = delete;
    ResumeFolder& operator=(const ResumeFolder&) = delete;

    /// Of one computation of the run; its name must be fit for a file. Must not outlive this.
    [[nodiscard]] std::unique_ptr<StateKeeper> keeper(const std::string& name);
    /// A file for people to read beside the kept state: `write` is given the path to write it to, and it
    /// takes the place of an older one when it is whole. What can't be written is left out, with a note.
    void keep_readable(const std::string& name,
                       const std::function<void(const std::filesystem::path&)>& write);
    /// Once the results are there. No keeper may be used afterwards.
    void remove();

    /// What people should know: gone on from where, or why not. One line each.
    [[nodiscard]] const std::vector<std::string>& notes() const { return notes_; }

  private:
    class Keeper;
    bool hold();
    void write(const std::string& name, std::span<const std::byte> body) const;
    [[nodiscard]] bool read(const std::string& name, std::vector<std::byte>& body) const;
    std::filesystem::path folder_;
    std::string key_;
    bool resume_;
    bool may_keep_ = true;
    int lock_ = -1;
    std::vector<std::string> notes_;
};

}  // namespace lielow
