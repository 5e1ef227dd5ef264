// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include "sim/errors.hpp"
#include "tools/bench_report.hpp"
#include "tools/command.hpp"

namespace lielow {
namespace {

class BenchCommand final : public Command {
  public:
    void declare(Options& options) override {
        options.flag("--quick", "tiny sizes, to see that it works; measures nothing", request_.quick);
        options.flag("--large", "grids of 4000 x 4000 cells too; takes minutes and gigabytes",
                     request_.large);
        options.flag("--double", "double precision besides single", request_.double_precision);
        options.flag("--json", "the figures as JSON", json_);
    }

    void run(Progress& progress) override {
        if (request_.quick && request_.large) throw InputError("take one of --quick and --large");
        const BenchReport report = run_bench(request_, progress);
        fmt::print("{}", json_ ? bench_json(report) : bench_text(report));
    }

  private:
    BenchRequest request_;
    bool json_ = false;
};

}  // namespace

std::unique_ptr<Command> make_bench_command() {
    return std::make_unique<BenchCommand>();
}

}  // namespace lielow
