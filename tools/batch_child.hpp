// SPDX-License-Identifier: Apache-2.0
// This program started again for one farm, and what became of it.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

namespace lielow {

struct ChildEnd {
    int exit_status = 0;  ///< 128 + the signal's number where one ended it
    std::string said;     ///< the last line on its stderr, without "lielow: "; for a signal, words
    std::uint64_t peak_memory_bytes = 0;
};

/// A running child. It dies with this process, however that ends.
class Child {
  public:
    /// `arguments` without the program's name. The child inherits `kept_handle`, its stdout goes nowhere.
    /// Throws RunError.
    Child(const std::vector<std::string>& arguments, int kept_handle);
    ~Child();
    Child(const Child&) = delete;
    Child& operator=(const Child&) = delete;

    [[nodiscard]] int process() const { return process_; }
    /// Readable when there is something to read, and at the child's end.
    [[nodiscard]] int stderr_handle() const { return stderr_; }

    /// Reads what there is, without waiting; false once the child has closed its stderr.
    bool read();
    /// Waits for its end.
    ChildEnd wait();
    /// Asks it to stop in good order.
    void stop() const;

  private:
    int process_ = -1;
    int stderr_ = -1;
    std::string text_;  ///< the end of what it said
};

}  // namespace lielow
