// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include "tools/command.hpp"
#include "tools/compare_report.hpp"
#include "tools/compare_site.hpp"
#include "tools/site_run.hpp"

namespace lielow {
namespace {

class CompareCommand final : public Command {
  public:
    void declare(Options& options) override {
        options.argument("SITE.toml", "the site file, with its remedies", site_file_);
        options.option("--out", "DIR",
                       "folder for the results (default: out/, the site file's name, /compare)", out_);
        std::vector<std::string> names;
        for (const Part& part : part_table()) names.emplace_back(part.name);
        options.list("--only", "parts to compare (default: all)", names, only_);
    }

    void run(Progress& progress) override {
        const Site site = read_site(site_file_);
        const std::filesystem::path out =
            out_.empty() ? "out" / site.file.stem() / "compare" : std::filesystem::path(out_);
        const Comparison comparison = compare_site(site, only_, out, progress);
        fmt::print("{}Results are in {}\n", comparison_text(comparison, site.units), out.string());
    }

  private:
    std::string site_file_;
    std::string out_;
    std::vector<std::string> only_;
};

}  // namespace

std::unique_ptr<Command> make_compare_command() {
    return std::make_unique<CompareCommand>();
}

}  // namespace lielow
