// SPDX-License-Identifier: Apache-2.0
#include "tools/bench_report.hpp"

#include <fmt/format.h>

#include <nlohmann/json.hpp>

#include "tools/bench_triad.hpp"
#include "tools/text_table.hpp"
#include "tools/version.hpp"

namespace lielow {
namespace {

constexpr double mebi = 1024.0 * 1024.0;
constexpr double mega = 1e6;
constexpr double giga = 1e9;

std::string_view name_of(BenchPrecision precision) {
    return precision == BenchPrecision::single_precision ? "single" : "double";
}

std::string threads_text(int threads) {
    return threads == 1 ? "1 thread" : fmt::format("{} threads", threads);
}

bool in_cache(const BenchReport& report, const StackRow& row) {
    return row.stack.array_bytes() < static_cast<double>(report.machine.last_cache_bytes);
}

std::string machine_text(const BenchReport& report) {
    const BenchMachine& machine = report.machine;
    std::string text = fmt::format(
        "lielow {}: {} processors, {} instructions, last-level cache {:.0f} MiB, load {:.1f} at the start\n",
        version(), machine.processors, report.instruction_set,
        static_cast<double>(machine.last_cache_bytes) / mebi, machine.load);
    if (report.request.quick)
        text +=
            "QUICK: tiny sizes, to see that the benchmarks work. The figures say nothing of the machine.\n";
    if (machine.load > 0.5)
        text += "Other programs were running: every figure may be too low, and the shares askew.\n";
    return text;
}

std::string memory_text(const BenchReport& report) {
    TextTable table{{"memory: a = b + s*c", "GB/s", "GB/s without the fetch of a"}, {}};
    for (std::size_t i = 0; i < report.threads.size(); ++i) {
        constexpr double without_fetch = triad_bytes_per_element - sizeof(double);
        table.rows.push_back(
            {threads_text(report.threads[i]), fmt::format("{:.1f}", report.bytes_per_second(i) / giga),
             fmt::format("{:.1f}", report.triad_elements_per_second[i] * without_fetch / giga)});
    }
    return to_text(table) +
           fmt::format("Three arrays of {:.0f} MiB.\n", static_cast<double>(report.triad_array_bytes) / mebi);
}

std::vector<std::string> stack_head(const BenchReport& report) {
    std::vector<std::string> head{"order, precision", "cells", "sheets", "bytes", "arrays, MiB"};
    for (const int threads : report.threads) {
        head.push_back(fmt::format("{}: M/s", threads_text(threads)));
        head.emplace_back("limit");
        head.emplace_back("share");
    }
    if (report.threads.size() > 1) head.emplace_back("scaling");
    return head;
}

std::vector<std::string> stack_cells(const BenchReport& report, const StackRow& row) {
    const StackCase& stack = row.stack;
    std::vector<std::string> cells{
        fmt::format("{}, {}", stack.order.name, name_of(stack.precision)),
        fmt::format("{} x {}", stack.side, stack.side), fmt::format("{}", stack.sheets),
        fmt::format("{:.0f}", stack.bytes_per_step()),
        fmt::format("{:.0f}{}", stack.array_bytes() / mebi, in_cache(report, row) ? " *" : "  ")};
    const auto& rates = row.speed.steps_per_second;
    for (std::size_t i = 0; i < rates.size(); ++i) {
        cells.push_back(fmt::format("{:.1f}", rates[i] / mega));
        cells.push_back(fmt::format("{:.0f}", report.limit(row, i) / mega));
        cells.push_back(fmt::format("{:.0f} %", 100 * rates[i] / report.limit(row, i)));
    }
    if (rates.size() > 1) cells.push_back(fmt::format("{:.2f}", rates.back() / rates.front()));
    return cells;
}

std::string stack_text(const BenchReport& report) {
    TextTable table{stack_head(report), {}};
    std::string notes;
    bool cached = false;
    for (const StackRow& row : report.stack) {
        if (row.skipped.empty()) {
            table.rows.push_back(stack_cells(report, row));
            cached = cached || in_cache(report, row);
        } else {
            notes += fmt::format("Skipped: {} order, {} precision, {} x {} cells, {} sheets {}.\n",
                                 row.stack.order.name, name_of(row.stack.precision), row.stack.side,
                                 row.stack.side, row.stack.sheets, row.skipped);
        }
    }
    if (cached)
        notes += "* fits in the last-level cache, where memory is no limit: the share may pass 100 %.\n";
    if (report.threads.size() > 1) notes = "scaling: all threads against one.\n" + notes;
    return to_text(table) +
           "A night's ladder on rough ground, every sheet present. M/s: million cell-sheet steps a second. "
           "bytes: what\none such step must move, each row fetched once a sweep, written words twice (fetch "
           "and "
           "write). limit: M/s\nthat memory lets through at that. share: of the limit.\n" +
           notes;
}

std::string flood_text(const BenchReport& report) {
    TextTable table{{"flood picture: catchments and hollows", "M cells/s"}, {}};
    for (std::size_t i = 0; i < report.threads.size(); ++i) {
        table.rows.push_back({threads_text(report.threads[i]),
                              fmt::format("{:.1f}", report.flood_cells_per_second[i] / mega)});
    }
    return to_text(table) + fmt::format("Rolling farm land of {} cells.\n", report.flood_cells);
}

using Json = nlohmann::ordered_json;

Json rates_json(const BenchReport& report, const std::string& name, const std::vector<double>& rates) {
    Json list = Json::array();
    for (std::size_t i = 0; i < rates.size(); ++i)
        list.push_back({{"threads", report.threads[i]}, {name, rates[i]}});
    return list;
}

Json stack_json(const BenchReport& report, const StackRow& row) {
    const StackCase& stack = row.stack;
    Json json{{"order", stack.order.name},
              {"precision", name_of(stack.precision)},
              {"side_cells", stack.side},
              {"sheets", stack.sheets},
              {"bytes_per_cell_sheet_step", stack.bytes_per_step()},
              {"array_bytes", stack.array_bytes()},
              {"fits_in_cache", in_cache(report, row)}};
    if (!row.skipped.empty()) {
        json["skipped"] = row.skipped;
        return json;
    }
    const auto& rates = row.speed.steps_per_second;
    Json runs = rates_json(report, "cell_sheet_steps_per_s", rates);
    for (std::size_t i = 0; i < rates.size(); ++i) {
        runs[i]["memory_limit_per_s"] = report.limit(row, i);
        runs[i]["limit_share"] = rates[i] / report.limit(row, i);
    }
    json["runs"] = runs;
    json["scaling"] = rates.back() / rates.front();
    json["present_share"] = row.speed.present_share;
    return json;
}

}  // namespace

std::string bench_text(const BenchReport& report) {
    return fmt::format("{}\n{}\n{}\n{}", machine_text(report), memory_text(report), stack_text(report),
                       flood_text(report));
}

std::string bench_json(const BenchReport& report) {
    const BenchMachine& machine = report.machine;
    Json json;
    json["version"] = version();
    json["quick"] = report.request.quick;
    json["machine"] = {{"processors", machine.processors},
                       {"instruction_set", report.instruction_set},
                       {"last_cache_bytes", machine.last_cache_bytes},
                       {"free_bytes", machine.free_bytes},
                       {"load", machine.load}};
    std::vector<double> bytes;
    for (std::size_t i = 0; i < report.threads.size(); ++i) bytes.push_back(report.bytes_per_second(i));
    json["memory"] = {{"array_bytes", report.triad_array_bytes},
                      {"bytes_per_element", triad_bytes_per_element},
                      {"runs", rates_json(report, "bytes_per_s", bytes)}};
    json["stack"] = Json::array();
    for (const StackRow& row : report.stack) json["stack"].push_back(stack_json(report, row));
    json["flood"] = {{"cells", report.flood_cells},
                     {"runs", rates_json(report, "cells_per_s", report.flood_cells_per_second)}};
    return json.dump(2) + "\n";
}

}  // namespace lielow
