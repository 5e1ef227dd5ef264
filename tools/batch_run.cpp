// SPDX-License-Identifier: Apache-2.0
#include "tools/batch_run.hpp"

#include <fmt/format.h>
#include <poll.h>

#include <algorithm>
#include <chrono>
#include <map>
#include <memory>

#include "io/input_files.hpp"
#include "sim/errors.hpp"
#include "tools/batch_child.hpp"
#include "tools/batch_farm.hpp"
#include "tools/batch_journal.hpp"
#include "tools/run_memory.hpp"
#include "tools/stop.hpp"

namespace lielow {
namespace {

using Clock = std::chrono::steady_clock;

/// After a crash the kernel may need a moment to end the children of the call before.
constexpr double lock_patience_s = 5;
/// How long a farm waits for memory that other programs hold.
constexpr double memory_patience_s = 600;
constexpr int poll_ms = 100;

/// A DEM that can't be opened counts as none: its run ends early, and says why.
std::uint64_t memory_for(const BatchRow& row) {
    std::uint64_t cells = 0;
    for (const SitePath& path : row.site.paths) {
        if (path.key == "ground.dem") cells = raster_cells(path.file);
    }
    return expected_memory(cells, row.site.text.find("[soil]") != std::string::npos);
}

void replace_all(std::string& text, const std::string& from, const std::string& to) {
    for (auto at = text.find(from); at != std::string::npos; at = text.find(from, at + to.size()))
        text.replace(at, from.size(), to);
}

/// Files by the names the person gave them, instead of the way there from the work folder.
std::string in_their_words(std::string text, const BatchRow& row, const FarmFolder& folder) {
    for (const SitePath& path : row.site.paths)
        replace_all(text, (folder.work() / path.written).string(), path.file.string());
    replace_all(text, folder.site_file().string(), fmt::format("row {}", row.number));
    replace_all(text, folder.work().string(), folder.results().string());
    return text;
}

struct Running {
    std::size_t row = 0;
    std::string key;
    std::uint64_t expected_bytes = 0;
    Clock::time_point begun;
    std::unique_ptr<FarmLock> lock;
    std::unique_ptr<Child> child;
};

class Batch {
  public:
    Batch(const BatchList& list, const BatchSettings& settings, Progress& progress)
        : list_(list), settings_(settings), progress_(progress), outcomes_(list.rows.size()) {}

    std::vector<FarmOutcome> run() {
        progress_.begin(fmt::format("{} farms", list_.rows.size()));
        while (next_ < list_.rows.size() || !running_.empty()) {
            if (stop_requested()) stop();
            while (next_ < list_.rows.size() && running_.size() < static_cast<std::size_t>(settings_.jobs) &&
                   !stop_requested() && try_next()) {
            }
            watch();
            progress_.at(static_cast<double>(ended_) / static_cast<double>(list_.rows.size()));
        }
        progress_.end();
        return std::move(outcomes_);
    }

  private:
    [[nodiscard]] FarmFolder folder(std::size_t row) const {
        return FarmFolder(settings_.out, list_.rows[row].folder);
    }

    void end(std::size_t row, const JournalEntry& entry) {
        ++ended_;
        outcomes_[row] = {entry.error.empty() ? FarmState::done : FarmState::failed, true, entry.error};
        if (!entry.error.empty()) progress_.say(fmt::format("lielow: {}: {}", entry.farm, entry.error));
        try {
            const std::string own = settings_.one_row ? list_.rows[row].folder : std::string();
            Journal(settings_.out, own).append(entry);
        } catch (const RunError& error) {
            progress_.say(fmt::format("lielow: {}: {}", entry.farm, error.what()));
        }
    }

    void fail(std::size_t row, const std::string& key, const std::string& error, int status) {
        end(row, {list_.rows[row].name, key, error, status, 0, 0});
    }

    /// Deals with the next row if it can be dealt with now; false when it must wait.
    bool try_next() {
        const std::size_t row = next_;
        if (!list_.rows[row].error.empty()) {
            ++next_;
            fail(row, "", list_.rows[row].error, 2);
            return true;
        }
        std::string key;
        try {
            if (key_of_next_.empty()) key_of_next_ = farm_key(list_.rows[row], settings_.only, sums_);
            key = key_of_next_;
            if (!is_done(row, key) && !start(row, key)) return false;
        } catch (const InputError& error) {
            fail(row, key, error.what(), 2);
        } catch (const RunError& error) {
            fail(row, key, error.what(), 1);
        }
        ++next_;
        key_of_next_.clear();
        waiting_ = false;
        return true;
    }

    bool is_done(std::size_t row, const std::string& key) {
        if (folder(row).key() != key) return false;
        std::error_code ignored;
        if (std::filesystem::exists(folder(row).work(), ignored)) {  // of a call that was killed
            const FarmLock lock(settings_.out, list_.rows[row].folder, lock_patience_s);
            folder(row).discard();
        }
        outcomes_[row] = {FarmState::done, false, {}};
        ++ended_;
        return true;
    }

    /// False when there is no room for it now. Throws InputError for one that never fits.
    bool fits(std::uint64_t bytes) {
        if (bytes > settings_.memory_bytes)
            throw InputError(
                fmt::format("it needs about {} of memory and there are {}; take a coarser or smaller DEM",
                            gigabytes(bytes), gigabytes(settings_.memory_bytes)));
        std::uint64_t promised = 0;  // to farms that run
        std::uint64_t to_come = 0;   // of that, not taken yet
        for (const Running& farm : running_) {
            promised += farm.expected_bytes;
            to_come +=
                farm.expected_bytes - std::min(farm.expected_bytes, memory_held(farm.child->process()));
        }
        if (promised + bytes <= settings_.memory_bytes && to_come + bytes <= memory_available()) return true;
        if (running_.empty()) wait_for_others(bytes);
        return false;
    }

    void wait_for_others(std::uint64_t bytes) {
        if (!waiting_) waiting_since_ = Clock::now();
        waiting_ = true;
        const std::chrono::duration<double> waited = Clock::now() - waiting_since_;
        if (waited.count() > memory_patience_s)
            throw RunError(
                fmt::format("it needs about {} of memory, which other programs have held for {:.0f} "
                            "minutes; start again when they are done",
                            gigabytes(bytes), memory_patience_s / 60));
    }

    bool start(std::size_t row, const std::string& key) {
        const BatchRow& farm = list_.rows[row];
        const std::uint64_t bytes = memory_for(farm);
        if (!fits(bytes)) return false;
        Running running{row, key, bytes, Clock::now(), nullptr, nullptr};
        running.lock = std::make_unique<FarmLock>(settings_.out, farm.folder, lock_patience_s);
        if (is_done(row, key)) return true;  // meanwhile, by another call
        const FarmFolder place = folder(row);
        try {
            place.begin(farm);
            std::vector<std::string> arguments{
                "run",       place.site_file().string(),       "--out", place.work().string(), "--quiet",
                "--threads", std::to_string(settings_.threads)};
            if (!settings_.only.empty())
                arguments.insert(arguments.end(),
                                 {"--only", fmt::format("{}", fmt::join(settings_.only, ","))});
            running.child = std::make_unique<Child>(arguments, running.lock->handle());
        } catch (const RunError&) {
            place.discard();
            throw;
        }
        running_.push_back(std::move(running));
        return true;
    }

    /// Waits a moment for children, and finishes those that have ended.
    void watch() {
        std::vector<pollfd> handles;
        for (const Running& farm : running_) handles.push_back({farm.child->stderr_handle(), POLLIN, 0});
        ::poll(handles.data(), handles.size(), next_ < list_.rows.size() || !running_.empty() ? poll_ms : 0);
        for (std::size_t i = handles.size(); i-- > 0;) {
            if (handles[i].revents == 0 || running_[i].child->read()) continue;
            finish(running_[i]);
            running_.erase(running_.begin() + static_cast<std::ptrdiff_t>(i));
        }
    }

    void finish(Running& farm) {
        const ChildEnd end_of = farm.child->wait();
        if (stop_requested() && end_of.exit_status != 0) {  // not the farm's fault
            folder(farm.row).discard();
            return;
        }
        const std::chrono::duration<double> seconds = Clock::now() - farm.begun;
        const BatchRow& row = list_.rows[farm.row];
        JournalEntry entry{row.name,           farm.key,        {},
                           end_of.exit_status, seconds.count(), end_of.peak_memory_bytes};
        if (end_of.exit_status != 0) {
            entry.error = in_their_words(end_of.said, row, folder(farm.row));
            folder(farm.row).discard();
        } else {
            commit(farm, entry);
        }
        end(farm.row, entry);
    }

    void commit(const Running& farm, JournalEntry& entry) const {
        try {
            folder(farm.row).commit(farm.key);
        } catch (const RunError& error) {
            entry.error = error.what();
            entry.exit_status = 1;
            folder(farm.row).discard();
        }
    }

    [[noreturn]] void stop() {
        for (const Running& farm : running_) farm.child->stop();
        while (!running_.empty()) watch();
        progress_.end();
        const auto done = std::count_if(outcomes_.begin(), outcomes_.end(), [](const FarmOutcome& outcome) {
            return outcome.state == FarmState::done;
        });
        throw RunError(
            fmt::format("stopped on request; {} of {} farms are done, and the same call goes on from there",
                        done, outcomes_.size()));
    }

    const BatchList& list_;
    const BatchSettings& settings_;
    Progress& progress_;
    std::vector<FarmOutcome> outcomes_;
    std::vector<Running> running_;
    InputSums sums_;
    std::size_t next_ = 0;
    std::size_t ended_ = 0;
    std::string key_of_next_;  ///< while it waits
    bool waiting_ = false;     ///< for memory that none of ours holds
    Clock::time_point waiting_since_;
};

}  // namespace

std::vector<FarmOutcome> run_batch(const BatchList& list, const BatchSettings& settings, Progress& progress) {
    std::error_code error;
    std::filesystem::create_directories(settings.out, error);
    if (error)
        throw InputError(fmt::format("can't write into {}: {}; choose another folder with --out",
                                     settings.out.string(), error.message()));
    return Batch(list, settings, progress).run();
}

std::vector<FarmOutcome> look_at_batch(const BatchList& list, const BatchSettings& settings) {
    const std::map<std::string, JournalEntry> journal = read_journals(settings.out);
    std::vector<FarmOutcome> outcomes;
    InputSums sums;
    for (const BatchRow& row : list.rows) {
        FarmOutcome outcome;
        std::string key;
        outcome.error = row.error;
        try {
            if (row.error.empty()) key = farm_key(row, settings.only, sums);
        } catch (const InputError& error) {
            outcome.error = error.what();
        }
        const std::string there = FarmFolder(settings.out, row.folder).key();
        const auto tried = journal.find(row.name);
        if (!outcome.error.empty()) {
            outcome.state = FarmState::failed;
        } else if (there == key) {
            outcome.state = FarmState::done;
        } else if (tried != journal.end() && tried->second.key == key && !tried->second.error.empty()) {
            outcome.state = FarmState::failed;
            outcome.error = tried->second.error;
        } else if (!there.empty()) {
            outcome.state = FarmState::outdated;
        }
        outcomes.push_back(std::move(outcome));
    }
    return outcomes;
}

}  // namespace lielow
