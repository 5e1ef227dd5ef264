// SPDX-License-Identifier: Apache-2.0
#include "tools/command_line.hpp"

#include <fmt/format.h>

#include <CLI/CLI.hpp>

#include "io/nearest_name.hpp"
#include "sim/errors.hpp"
#include "tools/version.hpp"

namespace lielow {
namespace {

class CliOptions final : public Options {
  public:
    explicit CliOptions(CLI::App& app) : app_(app) {}

    void argument(const std::string& name, const std::string& help, std::string& target) override {
        app_.add_option(name, target, help)->required()->option_text(" ");
    }
    void option(const std::string& flag, const std::string& placeholder, const std::string& help,
                std::string& target) override {
        app_.add_option(flag, target, help)->option_text(placeholder);
    }
    void flag(const std::string& flag, const std::string& help, bool& target) override {
        app_.add_flag(flag, target, help);
    }
    void list(const std::string& flag, const std::string& help, const std::vector<std::string>& choices,
              std::vector<std::string>& target) override {
        const std::string all = fmt::format("{}", fmt::join(choices, ","));
        app_.add_option(flag, target, help)->delimiter(',')->option_text(all)->check(CLI::IsMember(choices));
    }

  private:
    CLI::App& app_;
};

/// CLI11 alone would say that a subcommand is required, not which one was meant.
void check_command_name(int argc, const char* const* argv) {
    std::vector<std::string_view> names;
    for (const CommandEntry& entry : command_table()) names.push_back(entry.name);
    if (argc < 2)
        throw InputError(fmt::format("name a command: {}; see lielow --help", fmt::join(names, ", ")));
    const std::string_view first = argv[1];
    if (first.starts_with('-') || std::find(names.begin(), names.end(), first) != names.end()) return;
    throw InputError(fmt::format("there is no command {}; the nearest is {}; see lielow --help", first,
                                 nearest_name(first, names)));
}

void set_up(CLI::App& app, Call& call) {
    app.name("lielow");
    app.require_subcommand(1);
    app.fallthrough();
    app.set_help_all_flag("");
    app.set_version_flag("--version", version_report,
                         "version of lielow and of the libraries its results depend on");
    app.add_flag("--quiet", call.quiet, "no progress on stderr");
    app.add_option("--threads", call.threads, "threads to use (default: one for each processor)")
        ->option_text("N")
        ->check(CLI::Range(1, 1024));
}

/// The text of CLI11's error as our one line.
std::string in_one_line(const CLI::ParseError& error, const CLI::App& app) {
    const auto chosen = app.get_subcommands();
    const std::string command = chosen.empty() ? "" : " " + chosen.front()->get_name();
    return fmt::format("{}; see lielow{} --help", error.what(), command);
}

}  // namespace

Call read_command_line(int argc, const char* const* argv) {
    check_command_name(argc, argv);
    Call call;
    CLI::App app(
        "Where cold air and water lie low: maps of frost nights and of ponding for growers and their "
        "advisers.");
    set_up(app, call);
    std::vector<std::unique_ptr<Command>> commands;
    for (const CommandEntry& entry : command_table()) {
        CliOptions options(*app.add_subcommand(entry.name, entry.summary));
        commands.push_back(entry.make());
        commands.back()->declare(options);
    }
    try {
        app.parse(argc, argv);
    } catch (const CLI::Success& help_or_version) {
        app.exit(help_or_version);
        return call;
    } catch (const CLI::ParseError& error) {
        throw InputError(in_one_line(error, app));
    }
    for (std::size_t i = 0; i < commands.size(); ++i) {
        if (app.got_subcommand(command_table()[i].name)) call.command = std::move(commands[i]);
    }
    return call;
}

}  // namespace lielow
