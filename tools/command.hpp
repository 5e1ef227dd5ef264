// SPDX-License-Identifier: Apache-2.0
// What the command line is made of: one class and one file (cmd_*.cpp) per command, one line each in the
// table.
#pragma once

#include <memory>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "tools/progress.hpp"

namespace lielow {

/// What a command takes, declared by it. Stands in front of CLI11, which is slow to compile and so stays in
/// one file.
class Options {
  public:
    virtual ~Options() = default;
    /// A word that must be there, in the order of declaration.
    virtual void argument(const std::string& name, const std::string& help, std::string& target) = 0;
    virtual void option(const std::string& flag, const std::string& placeholder, const std::string& help,
                        std::string& target) = 0;
    virtual void flag(const std::string& flag, const std::string& help, bool& target) = 0;
    /// Words of `choices`, separated by commas.
    virtual void list(const std::string& flag, const std::string& help,
                      const std::vector<std::string>& choices, std::vector<std::string>& target) = 0;
};

/// One call of a command.
class Command {
  public:
    virtual ~Command() = default;
    virtual void declare(Options& options) = 0;
    /// Results go to stdout. Throws InputError, RunError or Interrupted.
    virtual void run(Progress& progress) = 0;
};

struct CommandEntry {
    std::string name;
    std::string summary;
    std::unique_ptr<Command> (*make)();
};

/// Every command of this version, in the order of the help text.
std::span<const CommandEntry> command_table();

std::unique_ptr<Command> make_batch_command();
std::unique_ptr<Command> make_bench_command();
std::unique_ptr<Command> make_check_command();
std::unique_ptr<Command> make_compare_command();
std::unique_ptr<Command> make_example_command();
std::unique_ptr<Command> make_run_command();
std::unique_ptr<Command> make_tune_command();
std::unique_ptr<Command> make_wide_command();

}  // namespace lielow
