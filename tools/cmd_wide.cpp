// SPDX-License-Identifier: Apache-2.0
// Ground larger than memory.
#include <fmt/format.h>

#include "tools/command.hpp"
#include "tools/stop.hpp"
#include "tools/wide_memory.hpp"
#include "tools/wide_run.hpp"

namespace lielow {
namespace {

class WideCommand final : public Command {
  public:
    void declare(Options& options) override {
        options.argument("DEM", "elevations of the bare ground, projected: any raster GDAL reads", dem_);
        options.option("--memory", "SIZE", "most memory to use, as \"2 GB\" (default)", memory_);
        options.option("--out", "DIR", "folder for the rasters (default: out)", out_);
        options.option("--vertical-unit", "UNIT", "m, ft or us-ft, where the file doesn't say", unit_);
        options.option("--night", "SITE.toml", "the night of this site file's [night], over the DEM alone",
                       night_);
        options.list("--only", "these rasters alone", wide_rasters(), only_);
    }

    void run(Progress& progress) override {
        catch_stop_signals();
        const WideRequest wanted{parse_memory(memory_), only_, night_, out_};
        DemRequest request;
        request.path = dem_;
        request.key_prefix = "--";
        if (!unit_.empty()) request.vertical_unit = unit_;
        const WideDem dem(request);
        const std::vector<std::string> lines = run_wide(dem, wanted, progress);
        for (const std::string& note : dem.notes()) fmt::print("{}\n", note);
        for (const std::string& line : lines) fmt::print("{}\n", line);
        fmt::print("rasters in {}\n", out_);
        fmt::print(
            "A screening, not a design: walk the ground; see docs/tiles.md for what tiles leave out.\n");
    }

  private:
    std::string dem_;
    std::string memory_ = "2 GB";
    std::string out_ = "out";
    std::string unit_;
    std::string night_;
    std::vector<std::string> only_;
};

}  // namespace

std::unique_ptr<Command> make_wide_command() {
    return std::make_unique<WideCommand>();
}

}  // namespace lielow
