// SPDX-License-Identifier: Apache-2.0
#include "tools/batch_journal.hpp"

#include <fcntl.h>
#include <fmt/format.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <cmath>
#include <cstring>
#include <fstream>
#include <nlohmann/json.hpp>
#include <vector>

#include "sim/errors.hpp"

namespace lielow {
namespace {

namespace fs = std::filesystem;
using Json = nlohmann::ordered_json;

/// A crash can cut a line short; the next one must not become its tail.
bool ends_amid_line(const fs::path& file) {
    std::ifstream stream(file, std::ios::binary | std::ios::ate);
    if (!stream || stream.tellg() <= 0) return false;
    stream.seekg(-1, std::ios::end);
    return stream.get() != '\n';
}

void read_journal(const fs::path& file, std::map<std::string, JournalEntry>& entries) {
    std::ifstream stream(file);
    for (std::string line; std::getline(stream, line);) {
        const Json json = Json::parse(line, nullptr, false);
        if (!json.is_object() || !json.contains("farm") || !json["farm"].is_string()) continue;
        JournalEntry entry;
        entry.farm = json["farm"];
        entry.key = json.value("key", "");
        entry.error = json.value("error", "");
        entry.exit_status = json.value("exit_status", 0);
        entry.seconds = json.value("time_s", 0.0);
        entry.peak_memory_bytes = json.value("peak_memory_bytes", std::uint64_t{0});
        entries[entry.farm] = entry;
    }
}

}  // namespace

Journal::Journal(const fs::path& out, const std::string& farm_folder)
    : file_(out / (farm_folder.empty() ? "journal.jsonl" : "journal-" + farm_folder + ".jsonl")) {}

void Journal::append(const JournalEntry& entry) const {
    Json json{{"farm", entry.farm},
              {"key", entry.key},
              {"status", entry.error.empty() ? "done" : "failed"},
              {"exit_status", entry.exit_status},
              {"time_s", std::round(entry.seconds * 1000) / 1000},
              {"peak_memory_bytes", entry.peak_memory_bytes}};
    if (!entry.error.empty()) json["error"] = entry.error;
    const std::string line = fmt::format("{}{}\n", ends_amid_line(file_) ? "\n" : "",
                                         json.dump(-1, ' ', false, Json::error_handler_t::replace));
    const int handle = ::open(file_.c_str(), O_WRONLY | O_CREAT | O_APPEND | O_CLOEXEC, 0666);
    const bool good = handle >= 0 &&
                      ::write(handle, line.data(), line.size()) == static_cast<ssize_t>(line.size()) &&
                      ::fsync(handle) == 0;
    const int error = errno;
    if (handle >= 0) ::close(handle);
    if (!good) throw RunError(fmt::format("can't write {}: {}", file_.string(), std::strerror(error)));
}

std::map<std::string, JournalEntry> read_journals(const fs::path& out) {
    std::vector<fs::path> own;
    std::error_code ignored;
    for (const auto& entry : fs::directory_iterator(out, ignored)) {
        const std::string name = entry.path().filename().string();
        if (name.starts_with("journal-") && name.ends_with(".jsonl")) own.push_back(entry.path());
    }
    std::sort(own.begin(), own.end());
    std::map<std::string, JournalEntry> entries;
    read_journal(out / "journal.jsonl", entries);
    for (const fs::path& file : own) read_journal(file, entries);
    return entries;
}

}  // namespace lielow
