// SPDX-License-Identifier: Apache-2.0
// The words a person typed, turned into a command ready to run.
#pragma once

#include <memory>

#include "tools/command.hpp"

namespace lielow {

struct Call {
    std::unique_ptr<Command> command;  ///< null when help or version was asked for, which is then printed
    bool quiet = false;
    int threads = 0;  ///< 0 = one for each processor
};

/// Throws InputError in one line.
Call read_command_line(int argc, const char* const* argv);

}  // namespace lielow
