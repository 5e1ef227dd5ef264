// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include "tools/command.hpp"
#include "tools/tune_site.hpp"

namespace lielow {
namespace {

class TuneCommand final : public Command {
  public:
    void declare(Options& options) override {
        options.argument("SITE.toml", "the site file, with [tune] and [tune.ranges]", site_file_);
        options.option("--out", "DIR", "folder for the results (default: tuned/ and the site file's name)",
                       out_);
    }

    void run(Progress& progress) override {
        const Site site = read_site(site_file_);
        const std::filesystem::path out =
            out_.empty() ? "tuned" / site.file.stem() : std::filesystem::path(out_);
        const TuneResult result = tune_site(site, out, progress);
        fmt::print("{}Results are in {}\n", tune_report(result), out.string());
    }

  private:
    std::string site_file_;
    std::string out_;
};

}  // namespace

std::unique_ptr<Command> make_tune_command() {
    return std::make_unique<TuneCommand>();
}

}  // namespace lielow
