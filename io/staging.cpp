// SPDX-License-Identifier: Apache-2.0
#include "io/staging.hpp"

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/file.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <cstdlib>
#include <cstring>
#include <string>
#include <system_error>
#include <vector>

#include "sim/errors.hpp"

namespace lielow {
namespace {

namespace fs = std::filesystem;

const std::string kPrefix = ".lielow-";
const char* const kSideFile = ".aux.xml";

/// A lock on a folder, freed with the process that holds it, however that ends.
int lock_folder(const fs::path& folder, int mode) {
    const int handle = ::open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (handle < 0) return -1;
    if (::flock(handle, mode) == 0) return handle;
    ::close(handle);
    return -1;
}

void unlock(int handle) {
    if (handle >= 0) ::close(handle);
}

void remove_dead(const fs::path& out) {
    std::error_code ignored;
    std::vector<fs::path> left;
    for (const auto& entry : fs::directory_iterator(out, ignored)) {
        if (entry.is_directory(ignored) && entry.path().filename().string().starts_with(kPrefix))
            left.push_back(entry.path());
    }
    for (const fs::path& folder : left) {
        const int handle = lock_folder(folder, LOCK_EX | LOCK_NB);
        if (handle < 0) continue;
        fs::remove_all(folder, ignored);
        unlock(handle);
    }
}

[[noreturn]] void refuse(const fs::path& out, const std::string& reason) {
    throw InputError(
        fmt::format("can't write into {}: {}; choose another folder with --out", out.string(), reason));
}

[[noreturn]] void fail(const fs::path& path, const std::string& reason) {
    throw RunError(fmt::format("can't write {}: {}", path.string(), reason));
}

/// Data on the disk before the name: a full or failing disk shows here, not after the older result is gone.
void flush_to_disk(const fs::path& file, const fs::path& target) {
    const int handle = ::open(file.c_str(), O_RDONLY | O_CLOEXEC);
    const bool good = handle >= 0 && ::fsync(handle) == 0;
    const int error = errno;
    unlock(handle);
    if (!good) fail(target, std::strerror(error));
}

void check_target(const fs::path& out, const fs::path& relative) {
    std::error_code ignored;
    const fs::path target = out / relative;
    if (fs::is_directory(target, ignored)) fail(target, "a folder of that name stands in its place");
    for (fs::path above = relative.parent_path(); !above.empty(); above = above.parent_path()) {
        const fs::path folder = out / above;
        if (!fs::exists(folder, ignored)) continue;
        if (!fs::is_directory(folder, ignored)) fail(target, folder.string() + " is a file");
        if (::access(folder.c_str(), W_OK | X_OK) != 0) fail(target, std::strerror(errno));
    }
}

std::vector<fs::path> files_in(const fs::path& folder) {
    std::vector<fs::path> files;
    for (const auto& entry : fs::recursive_directory_iterator(folder)) {
        if (entry.is_regular_file()) files.push_back(fs::relative(entry.path(), folder));
    }
    std::sort(files.begin(), files.end());
    return files;
}

/// The folder and those above it that aren't there yet, the innermost first.
std::vector<fs::path> folders_lacking(fs::path folder) {
    std::vector<fs::path> lacking;
    std::error_code ignored;
    for (; !folder.empty() && !fs::exists(folder, ignored); folder = folder.parent_path())
        lacking.push_back(folder);
    return lacking;
}

}  // namespace

Staging::Staging(const fs::path& out) : out_(out) {
    std::error_code error;
    if (fs::exists(out, error) && !fs::is_directory(out, error)) refuse(out, "it is a file, not a folder");
    made_ = folders_lacking(out);
    fs::create_directories(out, error);
    if (error) refuse(out, error.message());
    // While this is held no other run can take the new folder, not yet locked, for a dead one's.
    const int gate = lock_folder(out, LOCK_EX);
    remove_dead(out);
    std::string name = (out / fmt::format("{}{}-XXXXXX", kPrefix, ::getpid())).string();
    const bool made = ::mkdtemp(name.data()) != nullptr;
    const int reason = errno;
    if (made) lock_ = lock_folder(name, LOCK_EX | LOCK_NB);
    unlock(gate);
    if (!made) refuse(out, std::strerror(reason));
    folder_ = name;
}

Staging::~Staging() {
    std::error_code ignored;
    fs::remove_all(folder_, ignored);
    unlock(lock_);
    for (const fs::path& folder : made_) fs::remove(folder, ignored);  // only while it is still empty
}

fs::path Staging::path(const fs::path& relative) const {
    const fs::path place = folder_ / relative;
    std::error_code error;
    fs::create_directories(place.parent_path(), error);
    if (error) fail(out_ / relative, error.message());
    return place;
}

void Staging::commit() {
    const std::vector<fs::path> files = files_in(folder_);
    for (const fs::path& file : files) {
        check_target(out_, file);
        flush_to_disk(folder_ / file, out_ / file);
    }
    std::error_code error;
    for (const fs::path& file : files) {
        const fs::path target = out_ / file;
        fs::create_directories(target.parent_path(), error);
        if (!error) fs::rename(folder_ / file, target, error);
        if (error) fail(target, error.message());
        const fs::path side = file.string() + kSideFile;
        if (!std::binary_search(files.begin(), files.end(), side)) fs::remove(out_ / side, error);
    }
}

}  // namespace lielow
