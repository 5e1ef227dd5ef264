// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>
#include <omp.h>

#include <algorithm>
#include <charconv>

#include "sim/errors.hpp"
#include "tools/batch_run.hpp"
#include "tools/batch_tables.hpp"
#include "tools/command.hpp"
#include "tools/run_memory.hpp"
#include "tools/site_run.hpp"

namespace lielow {
namespace {

int whole_number(const std::string& flag, const std::string& text, int low, int high) {
    int number = 0;
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), number);
    if (error != std::errc() || end != text.data() + text.size() || number < low || number > high)
        throw InputError(fmt::format("{} {} must be a whole number from {} to {}; see lielow batch --help",
                                     flag, text, low, high));
    return number;
}

class BatchCommand final : public Command {
  public:
    void declare(Options& options) override {
        options.argument("LIST.csv",
                         "one row a farm: its name, its DEM or site file, and any site key as a column",
                         list_file_);
        options.option("--out", "DIR", "folder for the results: a folder for each farm, and tables of all",
                       out_);
        options.option("--site", "SITE.toml",
                       "a site file whose settings hold for every row that doesn't say otherwise", base_);
        options.option("--jobs", "N", "farms at a time (default: one for each thread)", jobs_);
        std::vector<std::string> names;
        for (const Part& part : part_table()) names.emplace_back(part.name);
        options.list("--only", "parts to run (default: all)", names, only_);
        options.option("--memory", "GB", "all farms together need no more (default: what the machine has)",
                       memory_);
        options.option("--row", "K", "run the K-th farm of the list alone, for job arrays; writes no tables",
                       row_);
        options.flag("--collect", "write the tables from what is there, run nothing", collect_);
    }

    void run(Progress& progress) override {
        if (out_.empty())
            throw InputError("--out is required: a folder for the results; see lielow batch --help");
        if (collect_ && !row_.empty())
            throw InputError("--row and --collect can't go together; call one after the other");
        BatchSettings settings = read_settings();
        BatchList list = read_batch_list(list_file_, base_, out_);
        if (settings.one_row) {
            const int row = whole_number("--row", row_, 1, static_cast<int>(list.rows.size()));
            list.rows = {list.rows[static_cast<std::size_t>(row) - 1]};
        }
        share_threads(settings, list.rows.size());
        const std::vector<FarmOutcome> outcomes =
            collect_ ? look_at_batch(list, settings) : run_batch(list, settings, progress);
        finish(list, outcomes, settings);
    }

  private:
    BatchSettings read_settings() const {
        BatchSettings settings;
        settings.out = out_;
        settings.only = only_;
        settings.one_row = !row_.empty();
        settings.memory_bytes = memory_limit();
        if (!memory_.empty())
            settings.memory_bytes = std::uint64_t{1'000'000} * static_cast<std::uint64_t>(1000 * gigabytes());
        return settings;
    }

    double gigabytes() const {
        double number = 0;
        const auto [end, error] = std::from_chars(memory_.data(), memory_.data() + memory_.size(), number);
        if (error != std::errc() || end != memory_.data() + memory_.size() || !(number > 0) || number > 1e6)
            throw InputError(fmt::format("--memory {} must be a number of gigabytes, such as 8", memory_));
        return number;
    }

    /// --threads is for all farms together.
    void share_threads(BatchSettings& settings, std::size_t farms) const {
        const int threads = omp_get_max_threads();
        constexpr int most = 1024;
        settings.jobs = jobs_.empty() ? threads : whole_number("--jobs", jobs_, 1, most);
        settings.jobs = std::min(settings.jobs, static_cast<int>(farms));
        settings.threads = std::max(1, threads / settings.jobs);
    }

    void finish(const BatchList& list, const std::vector<FarmOutcome>& outcomes,
                const BatchSettings& settings) const {
        std::vector<std::string> written;
        std::vector<TableFarm> farms = table_farms(list, outcomes, settings.out);
        if (!settings.one_row) written = write_batch_tables(farms, settings.out);
        std::size_t done = 0;
        std::size_t ran = 0;
        std::vector<std::string> failed;
        for (std::size_t i = 0; i < farms.size(); ++i) {
            if (farms[i].state == FarmState::done) ++done;
            if (farms[i].state == FarmState::done && outcomes[i].ran_now) ++ran;
            if (farms[i].state == FarmState::failed) failed.push_back(farms[i].name);
        }
        fmt::print("{} of {} farms are done, {} of them now.\n", done, farms.size(), ran);
        if (!written.empty())
            fmt::print("In {}: a folder for each farm, {}\n", settings.out.string(),
                       fmt::join(written, ", "));
        if (failed.empty()) return;
        constexpr std::size_t told = 5;
        const std::size_t more = failed.size() - std::min(told, failed.size());
        failed.resize(std::min(told, failed.size()));
        throw RunError(fmt::format("{} of {} farms failed: {}{}{}", failed.size() + more, farms.size(),
                                   fmt::join(failed, ", "), more > 0 ? fmt::format(" and {} more", more) : "",
                                   written.empty() ? "" : "; why stands above and in farms.csv"));
    }

    std::string list_file_;
    std::string out_;
    std::string base_;
    std::string jobs_;
    std::string memory_;
    std::string row_;
    bool collect_ = false;
    std::vector<std::string> only_;
};

}  // namespace

std::unique_ptr<Command> make_batch_command() {
    return std::make_unique<BatchCommand>();
}

}  // namespace lielow
