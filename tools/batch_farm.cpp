// SPDX-License-Identifier: Apache-2.0
#include "tools/batch_farm.hpp"

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/file.h>
#include <unistd.h>

#include <cerrno>
#include <chrono>
#include <cstdio>
#include <cstring>
#include <fstream>
#include <iterator>
#include <thread>

#include "io/file_fingerprint.hpp"
#include "io/input_files.hpp"
#include "sim/errors.hpp"
#include "tools/version.hpp"

namespace lielow {
namespace {

namespace fs = std::filesystem;

const char* const key_file = "batch-key";

[[noreturn]] void fail(const fs::path& path, int error) {
    throw RunError(fmt::format("can't write {}: {}", path.string(), std::strerror(error)));
}

void write_all(int handle, const std::string& text, const fs::path& file) {
    std::size_t written = 0;
    while (written < text.size()) {
        const ssize_t now = ::write(handle, text.data() + written, text.size() - written);
        if (now < 0 && errno == EINTR) continue;
        if (now <= 0) fail(file, errno);
        written += static_cast<std::size_t>(now);
    }
    if (::fsync(handle) != 0) fail(file, errno);
}

void sync_folder(const fs::path& folder) {
    const int handle = ::open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (handle < 0) return;
    ::fsync(handle);
    ::close(handle);
}

std::string key_in(const fs::path& folder) {
    std::ifstream stream(folder / key_file);
    std::string key;
    std::getline(stream, key);
    return key;
}

}  // namespace

std::string InputSums::of(const fs::path& input) {
    std::string all;
    for (const fs::path& file : files_behind(input)) {
        auto known = known_.find(file.string());
        if (known == known_.end()) {
            const FileFingerprint sum = fingerprint(file);
            const std::string line =
                fmt::format("{} {} {}\n", file.filename().string(), sum.bytes, sum.sha256);
            known = known_.emplace(file.string(), line).first;
        }
        all += known->second;
    }
    return all;
}

std::string farm_key(const BatchRow& row, const std::vector<std::string>& only, InputSums& sums) {
    std::string all = fmt::format("{}\n{}\n{}", version(), fmt::join(only, ","), row.site.text);
    for (const SitePath& path : row.site.paths) all += path.key + "\n" + sums.of(path.file);
    return fingerprint_of_text(all).sha256;
}

FarmFolder::FarmFolder(const fs::path& out, const std::string& folder)
    : results_(out / folder), work_(out / (".part-" + folder)) {}

std::string FarmFolder::key() const {
    std::error_code ignored;
    return fs::is_regular_file(results_ / "summary.json", ignored) ? key_in(results_) : std::string();
}

void FarmFolder::begin(const BatchRow& row) const {
    std::error_code error;
    fs::remove_all(work_, error);
    fs::create_directories(work_, error);
    if (error) fail(work_, error.value());
    write_durably(site_file(), row.site.text);
}

void FarmFolder::commit(const std::string& key) const {
    write_durably(work_ / key_file, key + "\n");
    sync_folder(work_);
    std::error_code error;
    if (!fs::exists(results_, error)) {
        if (::rename(work_.c_str(), results_.c_str()) != 0) fail(results_, errno);
    } else if (::renameat2(AT_FDCWD, work_.c_str(), AT_FDCWD, results_.c_str(), RENAME_EXCHANGE) != 0) {
        if (errno != EINVAL && errno != ENOSYS) fail(results_, errno);
        // A file system that can't exchange two names: for a moment there are no results, never half of them.
        fs::remove_all(results_, error);
        if (::rename(work_.c_str(), results_.c_str()) != 0) fail(results_, errno);
    }
    sync_folder(results_.parent_path());
    discard();  // the older results, after an exchange
}

void FarmFolder::discard() const {
    std::error_code ignored;
    fs::remove_all(work_, ignored);
}

FarmLock::FarmLock(const fs::path& out, const std::string& folder, double patience_s) {
    const fs::path place = out / ".locks";
    std::error_code error;
    fs::create_directories(place, error);
    if (error) fail(place, error.value());
    const fs::path file = place / folder;
    handle_ = ::open(file.c_str(), O_RDWR | O_CREAT | O_CLOEXEC, 0666);
    if (handle_ < 0) fail(file, errno);
    const auto until = std::chrono::steady_clock::now() + std::chrono::duration<double>(patience_s);
    while (::flock(handle_, LOCK_EX | LOCK_NB) != 0) {
        if (std::chrono::steady_clock::now() > until) {
            ::close(handle_);
            throw InputError("another call is at work on it");
        }
        std::this_thread::sleep_for(std::chrono::milliseconds(20));
    }
}

FarmLock::~FarmLock() {
    ::close(handle_);
}

void write_durably(const fs::path& file, const std::string& text) {
    const int handle = ::open(file.c_str(), O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC, 0666);
    if (handle < 0) fail(file, errno);
    try {
        write_all(handle, text, file);
    } catch (...) {
        ::close(handle);
        throw;
    }
    if (::close(handle) != 0) fail(file, errno);
}

}  // namespace lielow
