// SPDX-License-Identifier: Apache-2.0
#include "tools/bench_machine.hpp"

#include <omp.h>

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <map>
#include <string>
#include <utility>

namespace lielow {
namespace {

namespace fs = std::filesystem;

std::string word_of(const fs::path& file) {
    std::string word;
    std::ifstream(file) >> word;
    return word;
}

/// From Linux' description of each processor's caches. A cache that several processors share appears with
/// each of them and counts once.
std::uint64_t last_cache_bytes() {
    std::map<std::pair<int, std::string>, std::uint64_t> caches;  // level and sharers
    std::error_code none;
    for (const auto& processor : fs::directory_iterator("/sys/devices/system/cpu", none)) {
        for (const auto& cache : fs::directory_iterator(processor.path() / "cache", none)) {
            if (!fs::exists(cache.path() / "level", none)) continue;
            const int level = std::atoi(word_of(cache.path() / "level").c_str());
            const std::string size = word_of(cache.path() / "size");  // as in 32768K
            caches[{level, word_of(cache.path() / "shared_cpu_list")}] =
                std::strtoull(size.c_str(), nullptr, 10) * 1024;
        }
    }
    std::uint64_t total = 0;
    for (const auto& [key, bytes] : caches) {
        if (key.first == caches.rbegin()->first.first) total += bytes;
    }
    constexpr std::uint64_t usual = 32ULL << 20U;
    return total > 0 ? total : usual;
}

std::uint64_t free_bytes() {
    std::ifstream stream("/proc/meminfo");
    std::string name;
    std::string unit;
    std::uint64_t kibibytes = 0;
    while (stream >> name >> kibibytes && std::getline(stream, unit)) {
        if (name == "MemAvailable:") return kibibytes * 1024;
    }
    return 0;
}

}  // namespace

BenchMachine this_machine() {
    BenchMachine machine;
    machine.processors = omp_get_num_procs();
    machine.last_cache_bytes = last_cache_bytes();
    machine.free_bytes = free_bytes();
    if (getloadavg(&machine.load, 1) != 1) machine.load = 0;
    return machine;
}

}  // namespace lielow
