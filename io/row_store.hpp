// SPDX-License-Identifier: Apache-2.0
// Rows of numbers in files, for what doesn't fit into memory while it is worked on.
#pragma once

#include <filesystem>
#include <map>

#include "sim/night_windows.hpp"

namespace lielow {

/// One file a slot, PREFIX_N.rows, in the machine's own byte order; they vanish with the object.
class FileRowStore final : public WindowStore {
  public:
    /// `prefix`: path and beginning of the files' names, in a folder that is there.
    explicit FileRowStore(std::filesystem::path prefix);
    ~FileRowStore() override;
    FileRowStore(const FileRowStore&) = delete;
    FileRowStore& operator=(const FileRowStore&) = delete;

    void lay_out(int slot, std::int32_t rows, std::size_t row_values) override;
    void write(int slot, std::int32_t first_row, std::span<const float> values) override;
    void read(int slot, std::int32_t first_row, std::span<float> values) override;

  private:
    struct Slot {
        std::filesystem::path path;
        int file = -1;
        std::size_t row_values = 0;
    };
    const Slot& laid_out(int slot) const;

    std::filesystem::path prefix_;
    std::map<int, Slot> slots_;
};

}  // namespace lielow
