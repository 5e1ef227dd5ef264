// SPDX-License-Identifier: Apache-2.0
#include "io/resume_folder.hpp"

#include <fcntl.h>
#include <fmt/format.h>
#include <openssl/evp.h>
#include <sys/file.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cstdint>
#include <cstring>
#include <fstream>
#include <stdexcept>
#include <system_error>

#include "sim/errors.hpp"

namespace lielow {
namespace {

namespace fs = std::filesystem;

constexpr std::string_view magic = "lielow kept state, version 1\n";
constexpr std::size_t digest_bytes = 32;
using Digest = std::array<unsigned char, digest_bytes>;

Digest digest_of(std::string_view key, std::span<const std::byte> body) {
    const std::unique_ptr<EVP_MD_CTX, void (*)(EVP_MD_CTX*)> context(EVP_MD_CTX_new(), EVP_MD_CTX_free);
    Digest digest{};
    if (!context || EVP_DigestInit_ex(context.get(), EVP_sha256(), nullptr) != 1 ||
        EVP_DigestUpdate(context.get(), key.data(), key.size()) != 1 ||
        EVP_DigestUpdate(context.get(), body.data(), body.size()) != 1 ||
        EVP_DigestFinal_ex(context.get(), digest.data(), nullptr) != 1)
        throw RunError("OpenSSL has no SHA-256 on this machine");
    return digest;
}

std::string added_name(const std::string& name, std::size_t number) {
    return fmt::format("{}.{:04}", name, number);
}

int lock_of(const fs::path& folder) {
    const int handle = ::open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (handle < 0) return -1;
    if (::flock(handle, LOCK_EX | LOCK_NB) == 0) return handle;
    ::close(handle);
    return -1;
}

void sync_path(const fs::path& path) {
    const int handle = ::open(path.c_str(), O_RDONLY | O_CLOEXEC);
    const bool good = handle >= 0 && ::fsync(handle) == 0;
    if (handle >= 0) ::close(handle);
    if (!good) throw fs::filesystem_error("fsync", path, std::make_error_code(std::errc::io_error));
}

}  // namespace

std::string key_of(const std::vector<std::string>& texts) {
    std::string all;
    for (const std::string& text : texts) all += fmt::format("{}:{}\n", text.size(), text);
    const Digest digest = digest_of(all, {});
    return fmt::format("{:02x}", fmt::join(digest, ""));
}

/// Keeps one computation.
class ResumeFolder::Keeper final : public StateKeeper {
  public:
    Keeper(ResumeFolder& folder, std::string name) : folder_(folder), name_(std::move(name)) {}

    bool restore(const WalkOver& over) override {
        if (!folder_.resume_) return false;
        KeptState kept;
        std::vector<std::byte> state;
        if (!folder_.read(name_ + ".state", state)) return false;
        std::array<double, 2> head{};  // time and number of added files
        if (state.size() < sizeof(head)) return false;
        std::memcpy(head.data(), state.data(), sizeof(head));
        kept.whole.assign(state.begin() + sizeof(head), state.end());
        const auto files = static_cast<std::size_t>(head[1]);
        for (std::size_t n = 1; n <= files; ++n) {
            if (!folder_.read(added_name(name_, n), kept.added.emplace_back())) return false;
        }
        StateWalk walk(kept);
        over(walk);
        walk.finish();
        count_logs(over);
        kept_ = files;
        folder_.notes_.push_back(fmt::format("The {} went on from the kept state of {:.4g} h after sunset",
                                             name_, head[0] / 3600));
        return true;
    }

    void keep(double time_s, const WalkOver& over) override {
        if (!folder_.hold()) return;
        StateWalk walk(logged_);
        over(walk);
        try {
            folder_.write(added_name(name_, kept_ + 1), walk.added());
            std::vector<std::byte> state(2 * sizeof(double));
            const std::array<double, 2> head{time_s, static_cast<double>(kept_ + 1)};
            std::memcpy(state.data(), head.data(), sizeof(head));
            state.insert(state.end(), walk.whole().begin(), walk.whole().end());
            folder_.write(name_ + ".state", state);
            ++kept_;
        } catch (const fs::filesystem_error& error) {
            folder_.may_keep_ = false;
            folder_.notes_.push_back(fmt::format(
                "The state of this run can't be kept in {} ({}): were it stopped now, it would begin anew",
                folder_.folder_.string(), error.code().message()));
            folder_.remove();
        }
    }

  private:
    /// What is restored needn't be kept again.
    void count_logs(const WalkOver& over) {
        StateWalk walk(logged_);
        over(walk);
    }
    ResumeFolder& folder_;
    std::string name_;
    std::vector<std::size_t> logged_;
    std::size_t kept_ = 0;
};

ResumeFolder::ResumeFolder(fs::path out, std::string key, bool resume)
    : folder_(std::move(out) / ".lielow.resume"), key_(std::move(key)), resume_(resume) {
    std::error_code ignored;
    if (!fs::exists(folder_, ignored)) {
        if (resume) notes_.emplace_back("There was no kept state to resume from; the run began anew");
        resume_ = false;
        return;
    }
    lock_ = lock_of(folder_);
    if (lock_ < 0) {
        notes_.push_back(fmt::format("Another run keeps its state in {}; this one began anew and kept none",
                                     folder_.string()));
        may_keep_ = resume_ = false;
        return;
    }
    const fs::path mark = folder_ / "key";
    std::string found;
    std::getline(std::ifstream(mark), found);
    if (resume && found == key_) return;
    if (resume)
        notes_.emplace_back(
            "The kept state is that of other inputs, other settings or another version; the run began anew");
    resume_ = false;
    remove();
}

ResumeFolder::~ResumeFolder() {
    if (lock_ >= 0) ::close(lock_);
}

std::unique_ptr<StateKeeper> ResumeFolder::keeper(const std::string& name) {
    return std::make_unique<Keeper>(*this, name);
}

void ResumeFolder::keep_readable(const std::string& name, const std::function<void(const fs::path&)>& write) {
    if (!hold()) return;
    const fs::path unfinished = folder_ / ("unfinished-" + name);
    std::error_code ignored;
    try {
        write(unfinished);
        fs::rename(unfinished, folder_ / name);
    } catch (const std::runtime_error& error) {
        fs::remove(unfinished, ignored);
        const std::string note =
            fmt::format("What was there so far isn't kept for reading: {}", error.what());
        if (std::find(notes_.begin(), notes_.end(), note) == notes_.end()) notes_.push_back(note);
    }
}

void ResumeFolder::remove() {
    if (lock_ < 0) return;
    std::error_code ignored;
    fs::remove_all(folder_, ignored);
    ::close(lock_);
    lock_ = -1;
}

/// Whether the folder is there and this run's own.
bool ResumeFolder::hold() {
    if (!may_keep_ || lock_ >= 0) return may_keep_;
    std::error_code error;
    fs::create_directories(folder_, error);
    lock_ = lock_of(folder_);
    std::ofstream mark(folder_ / "key", std::ios::binary);
    mark << key_ << '\n';
    mark.close();
    may_keep_ = lock_ >= 0 && mark;
    return may_keep_;
}

void ResumeFolder::write(const std::string& name, std::span<const std::byte> body) const {
    const fs::path unfinished = folder_ / "unfinished";
    const Digest digest = digest_of(key_, body);
    std::ofstream stream(unfinished, std::ios::binary);
    stream << magic;
    stream.write(reinterpret_cast<const char*>(digest.data()), digest.size());
    stream.write(reinterpret_cast<const char*>(body.data()), static_cast<std::streamsize>(body.size()));
    stream.close();
    if (!stream)
        throw fs::filesystem_error("write", unfinished, std::make_error_code(std::errc::no_space_on_device));
    sync_path(unfinished);
    fs::rename(unfinished, folder_ / name);
    sync_path(folder_);
}

bool ResumeFolder::read(const std::string& name, std::vector<std::byte>& body) const {
    std::ifstream stream(folder_ / name, std::ios::binary | std::ios::ate);
    const std::streamoff size = stream.tellg();
    const auto head = static_cast<std::streamoff>(magic.size() + digest_bytes);
    if (!stream || size < head) return false;
    std::string start(magic.size(), ' ');
    Digest digest{};
    body.resize(static_cast<std::size_t>(size - head));
    stream.seekg(0);
    stream.read(start.data(), static_cast<std::streamsize>(start.size()));
    stream.read(reinterpret_cast<char*>(digest.data()), digest.size());
    stream.read(reinterpret_cast<char*>(body.data()), static_cast<std::streamsize>(body.size()));
    return stream && start == magic && digest == digest_of(key_, body);
}

}  // namespace lielow
