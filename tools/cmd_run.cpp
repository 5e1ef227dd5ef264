// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include "tools/command.hpp"
#include "tools/run_memory.hpp"
#include "tools/run_site.hpp"
#include "tools/run_table.hpp"
#include "tools/site_run.hpp"
#include "tools/wide_memory.hpp"

namespace lielow {
namespace {

class RunCommand final : public Command {
  public:
    void declare(Options& options) override {
        options.argument("SITE.toml", "the site file", site_file_);
        options.option("--out", "DIR", "folder for the results (default: out/ and the site file's name)",
                       out_);
        std::vector<std::string> names;
        for (const Part& part : part_table()) names.emplace_back(part.name);
        options.list("--only", "parts to run (default: all)", names, only_);
        options.option(
            "--reuse", "DIR",
            "results of an earlier run of this site: layers of parts that aren't run come from there",
            reuse_);
        options.option("--memory", "SIZE",
                       "most memory the run may need, as \"8 GB\" (default: what the machine has)", memory_);
        options.flag("--resume", "go on from the last whole hour of a run into DIR that was stopped",
                     resume_);
    }

    void run(Progress& progress) override {
        const Site site = read_site(site_file_);
        const std::filesystem::path out =
            out_.empty() ? "out" / site.file.stem() : std::filesystem::path(out_);
        RunRequest request{out, only_};
        request.resume = resume_;
        request.most_memory_bytes = memory_.empty() ? memory_limit() : parse_memory(memory_);
        if (!reuse_.empty()) request.reuse = reuse_;
        const Summary summary = run_site(site, request, progress);
        for (const std::string& note : summary.run.notes) fmt::print("{}.\n", note);
        fmt::print("{}Results are in {}\n", run_report(summary, site.units), out.string());
    }

  private:
    std::string site_file_;
    std::string out_;
    std::vector<std::string> only_;
    std::string reuse_;
    std::string memory_;
    bool resume_ = false;
};

}  // namespace

std::unique_ptr<Command> make_run_command() {
    return std::make_unique<RunCommand>();
}

}  // namespace lielow
