// SPDX-License-Identifier: Apache-2.0
#include "io/row_store.hpp"

#include <fcntl.h>
#include <fmt/format.h>
#include <unistd.h>

#include <cerrno>
#include <cstring>
#include <utility>

#include "sim/errors.hpp"

namespace lielow {
namespace {

[[noreturn]] void refuse(const char* what, const std::filesystem::path& path, int error) {
    const std::string name = path.filename().string();
    if (error == ENOSPC || error == EDQUOT)
        throw RunError(fmt::format(
            "can't {} {}: the disk is full; make room or choose another folder with --out", what, name));
    throw RunError(fmt::format("can't {} {}: {}", what, name, std::strerror(error)));
}

/// Moves all bytes by `move(place in the buffer, bytes, place in the file)`, which may do so in pieces.
template <class Move>
void move_all(std::size_t bytes, std::size_t from, Move move, const char* what,
              const std::filesystem::path& path) {
    for (std::size_t done = 0; done < bytes;) {
        const ssize_t moved = move(done, bytes - done, static_cast<off_t>(from + done));
        if (moved < 0 && errno == EINTR) continue;
        if (moved < 0) refuse(what, path, errno);
        if (moved == 0)
            throw RunError(fmt::format("can't {} {}: it ends too early", what, path.filename().string()));
        done += static_cast<std::size_t>(moved);
    }
}

}  // namespace

FileRowStore::FileRowStore(std::filesystem::path prefix) : prefix_(std::move(prefix)) {}

FileRowStore::~FileRowStore() {
    for (const auto& [number, slot] : slots_) {
        ::close(slot.file);
        std::error_code ignored;
        std::filesystem::remove(slot.path, ignored);
    }
}

void FileRowStore::lay_out(int slot, std::int32_t rows, std::size_t row_values) {
    const auto known = slots_.find(slot);
    if (known == slots_.end()) {
        std::filesystem::path path = prefix_;
        path += fmt::format("_{}.rows", slot);
        const int file = ::open(path.c_str(), O_RDWR | O_CREAT | O_TRUNC | O_CLOEXEC, 0666);
        if (file < 0) refuse("make", path, errno);
        slots_.emplace(slot, Slot{std::move(path), file, 0});
    }
    Slot& here = slots_.at(slot);
    here.row_values = row_values;
    const auto bytes = static_cast<off_t>(static_cast<std::size_t>(rows) * row_values * sizeof(float));
    if (::ftruncate(here.file, 0) != 0 || ::ftruncate(here.file, bytes) != 0)
        refuse("make", here.path, errno);
}

const FileRowStore::Slot& FileRowStore::laid_out(int slot) const {
    const auto known = slots_.find(slot);
    if (known == slots_.end()) throw RunError(fmt::format("rows of slot {} were never laid out", slot));
    return known->second;
}

void FileRowStore::write(int slot, std::int32_t first_row, std::span<const float> values) {
    const Slot& here = laid_out(slot);
    const auto* bytes = reinterpret_cast<const char*>(values.data());
    move_all(
        values.size_bytes(), static_cast<std::size_t>(first_row) * here.row_values * sizeof(float),
        [&](std::size_t place, std::size_t count, off_t at) {
            return ::pwrite(here.file, bytes + place, count, at);
        },
        "write", here.path);
}

void FileRowStore::read(int slot, std::int32_t first_row, std::span<float> values) {
    const Slot& here = laid_out(slot);
    auto* bytes = reinterpret_cast<char*>(values.data());
    move_all(
        values.size_bytes(), static_cast<std::size_t>(first_row) * here.row_values * sizeof(float),
        [&](std::size_t place, std::size_t count, off_t at) {
            return ::pread(here.file, bytes + place, count, at);
        },
        "read back", here.path);
}

}  // namespace lielow
