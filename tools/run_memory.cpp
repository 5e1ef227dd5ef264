// SPDX-License-Identifier: Apache-2.0
#include "tools/run_memory.hpp"

#include <fmt/format.h>
#include <unistd.h>

#include <algorithm>
#include <fstream>
#include <limits>
#include <optional>
#include <string>

#include "io/input_files.hpp"
#include "sim/errors.hpp"

namespace lielow {
namespace {

// docs/batch.md has the measurements.
constexpr std::uint64_t program_bytes = 80'000'000;
constexpr std::uint64_t bytes_per_cell = 100;
constexpr std::uint64_t bytes_per_cell_with_soil = 400;  ///< the water table

constexpr std::uint64_t no_limit = std::numeric_limits<std::uint64_t>::max();

std::uint64_t meminfo(const std::string& name) {
    std::ifstream stream("/proc/meminfo");
    for (std::string line; std::getline(stream, line);) {
        if (line.starts_with(name + ":")) return std::stoull(line.substr(name.size() + 1)) * 1024;
    }
    return no_limit;
}

/// Nothing for "max", and where there is no such file.
std::optional<std::uint64_t> number_in(const std::string& file) {
    std::ifstream stream(file);
    std::uint64_t number = 0;
    if (stream >> number) return number;
    return std::nullopt;
}

/// The folder of this process's cgroup, version 2; empty where there is none.
std::string cgroup_folder() {
    std::ifstream stream("/proc/self/cgroup");
    for (std::string line; std::getline(stream, line);) {
        if (line.starts_with("0::")) return "/sys/fs/cgroup" + line.substr(3);
    }
    return {};
}

/// `figure` over this cgroup and those above it: the tightest counts.
template <class Figure>
std::uint64_t tightest(Figure figure) {
    std::uint64_t least = no_limit;
    std::string folder = cgroup_folder();
    while (folder.starts_with("/sys/fs/cgroup")) {
        least = std::min(least, figure(folder));
        folder.resize(folder.rfind('/'));
    }
    return least;
}

}  // namespace

std::uint64_t expected_memory(std::uint64_t cells, bool soil) {
    return program_bytes + (soil ? bytes_per_cell_with_soil : bytes_per_cell) * cells;
}

void judge_memory(const Site& site, std::uint64_t most_bytes) {
    const std::uint64_t cells = raster_cells(site.ground.dem);
    const std::uint64_t bytes = expected_memory(cells, site.soil.known());
    if (bytes <= most_bytes) return;
    throw InputError(fmt::format(
        "{}: a run on its {:.3g} million cells takes about {} of memory and there are {}; take a coarser or "
        "smaller "
        "DEM, or look at it by tiles with lielow wide",
        site.ground.dem.string(), static_cast<double>(cells) / 1e6, gigabytes(bytes), gigabytes(most_bytes)));
}

std::string gigabytes(std::uint64_t bytes) {
    return fmt::format("{:.2g} GB", static_cast<double>(bytes) / 1e9);
}

std::uint64_t memory_limit() {
    return std::min(meminfo("MemTotal"), tightest([](const std::string& folder) {
                        return number_in(folder + "/memory.max").value_or(no_limit);
                    }));
}

std::uint64_t memory_available() {
    return std::min(meminfo("MemAvailable"), tightest([](const std::string& folder) {
                        const auto most = number_in(folder + "/memory.max");
                        const auto used = number_in(folder + "/memory.current");
                        if (!most || !used) return no_limit;
                        return *most > *used ? *most - *used : 0;
                    }));
}

std::uint64_t memory_held(int process) {
    std::ifstream stream(fmt::format("/proc/{}/statm", process));
    std::uint64_t total = 0;
    std::uint64_t resident = 0;
    if (!(stream >> total >> resident)) return 0;
    return resident * static_cast<std::uint64_t>(::sysconf(_SC_PAGESIZE));
}

}  // namespace lielow
