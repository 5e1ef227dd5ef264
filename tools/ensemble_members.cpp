// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <array>
#include <fstream>
#include <nlohmann/json.hpp>
#include <system_error>

#include "io/file_fingerprint.hpp"
#include "io/raster.hpp"
#include "io/site_text.hpp"
#include "sim/error_field.hpp"
#include "sim/errors.hpp"
#include "tools/ensemble.hpp"
#include "tools/run_site.hpp"
#include "tools/staged_classes.hpp"

namespace lielow {
namespace {

namespace fs = std::filesystem;
using Json = nlohmann::json;

constexpr std::array<std::string_view, 3> kept_rasters{"siting.tif", "siting_reason.tif", "night_offset.tif"};
constexpr const char* sums_name = "sums.json";

bool is_chosen(const SiteRun& run, std::string_view part) {
    return std::find(run.chosen.begin(), run.chosen.end(), part) != run.chosen.end();
}

/// Parts of the site's own run that a run of the ensemble does as well.
std::vector<std::string> parts_of_member(const SiteRun& run) {
    std::vector<std::string> parts;
    for (const std::string_view part : run.chosen) {
        if (part != "sure" && part != "look") parts.emplace_back(part);
    }
    return parts;
}

/// "x, y" of the spot that night_offset counts from; empty without a night.
std::string reference_position(const Summary& summary) {
    for (const PartRecord& part : summary.parts) {
        for (const auto& [name, text] : part.words) {
            if (part.name == "night" && name == "reference_position") return text;
        }
    }
    return {};
}

bool all_have_sums(const std::vector<InputRecord>& inputs) {
    return std::none_of(inputs.begin(), inputs.end(),
                        [](const InputRecord& input) { return input.fingerprint.sha256.empty(); });
}

/// Everything a run hangs on, as a text. What is asked of the runs afterwards is left out, so that asking
/// otherwise runs nothing again.
std::string what_runs_hang_on(const SiteRun& run, const std::string& reference) {
    const Summary& summary = run.summary;
    std::string text =
        fmt::format("{}\n{}\n{}\n", summary.version, fmt::join(parts_of_member(run), " "), reference);
    for (const auto& [library, version] : summary.libraries) text += fmt::format("{} {}\n", library, version);
    for (const InputRecord& input : summary.inputs)
        text += fmt::format("{} {}\n", input.key, input.fingerprint.sha256);
    for (const SiteSetting& setting : run.site.settings) {
        const bool afterwards =
            setting.key.starts_with("look.") || setting.key == "title" || setting.key == "ensemble.agreement";
        if (!afterwards) text += fmt::format("{} {} {}\n", setting.key, setting.text, setting.origin);
    }
    // Sections whose names people choose, such as [cover.NAME], are no settings.
    constexpr std::array<std::string_view, 3> others{"title", "look", "ensemble"};
    text += site_text_without(run.site.file, others);
    // A DEM may be a text that names other files.
    return text + checksum(std::as_bytes(run.dem.ground.z.all()));
}

bool is_whole(const fs::path& folder) {
    std::ifstream stream(folder / sums_name, std::ios::binary);
    const Json sums = Json::parse(stream, nullptr, false);
    if (!stream || !sums.is_object() || !sums.contains(kept_rasters[0])) return false;
    std::error_code ignored;
    return std::all_of(sums.items().begin(), sums.items().end(), [&](const auto& item) {
        const fs::path file = folder / item.key();
        return fs::is_regular_file(file, ignored) && fingerprint(file).sha256 == item.value();
    });
}

[[noreturn]] void fail(const fs::path& path, const std::string& reason) {
    throw RunError(fmt::format("can't write {}: {}", path.string(), reason));
}

/// Keeps what is wanted of a run's results, whole or not at all.
void keep(const fs::path& results, const fs::path& folder) {
    std::error_code error;
    const fs::path making = folder.string() + ".kept";
    fs::remove_all(making, error);
    fs::create_directories(making, error);
    if (error) fail(making, error.message());
    Json sums = Json::object();
    for (const std::string_view name : kept_rasters) {
        const fs::path from = results / "rasters" / name;
        if (!fs::exists(from, error)) continue;
        fs::rename(from, making / name, error);
        if (error) fail(making / name, error.message());
        sums[std::string(name)] = fingerprint(making / name).sha256;
    }
    std::ofstream stream(making / sums_name, std::ios::binary);
    stream << sums.dump(2) << '\n';
    stream.close();
    if (!stream) fail(making / sums_name, "is the disk full?");
    fs::remove_all(folder, error);
    fs::rename(making, folder, error);
    if (error) fail(folder, error.message());
}

void remove_others(const fs::path& folder) {
    std::error_code ignored;
    std::vector<fs::path> others;
    for (const auto& entry : fs::directory_iterator(folder.parent_path(), ignored)) {
        if (entry.path() != folder) others.push_back(entry.path());
    }
    for (const fs::path& other : others) fs::remove_all(other, ignored);
}

}  // namespace

MemberStore::MemberStore(const SiteRun& run) : run_(run), reference_(reference_position(run.summary)) {
    const std::string hangs_on = what_runs_hang_on(run, reference_);
    const std::string key = checksum(std::as_bytes(std::span(hangs_on)));
    folder_ = run.out / ".members" / key.substr(0, 16);
    std::error_code error;
    if (!all_have_sums(run.summary.inputs)) fs::remove_all(folder_, error);
    fs::create_directories(folder_, error);
    if (error) fail(folder_, error.message());
    remove_others(folder_);
}

EnsembleMember MemberStore::get(int number, const EnsembleDraw& draw) const {
    const fs::path folder = folder_ / fmt::format("{:04}", number);
    if (!is_whole(folder)) make(folder, number, draw);
    const Dem& dem = run_.dem;
    EnsembleMember member;
    member.siting = to_classes(read_raster(folder / kept_rasters[0], dem.ground.grid, dem.geo));
    member.reason = to_classes(read_raster(folder / kept_rasters[1], dem.ground.grid, dem.geo));
    if (is_chosen(run_, "night"))
        member.night_offset = read_raster(folder / kept_rasters[2], dem.ground.grid, dem.geo);
    return member;
}

void MemberStore::make(const fs::path& folder, int number, const EnsembleDraw& draw) const {
    const fs::path results = folder.string() + ".run";
    std::error_code ignored;
    fs::remove_all(results, ignored);
    RunRequest request{results, parts_of_member(run_)};
    request.report = false;
    request.styles = false;
    const double length_m = run_.site.ensemble.correlation_length_m;
    request.alter_ground = [&](Ground& ground) {
        if (!(draw.error_m > 0)) return;
        const Field<float> error = draw_error(ground.grid, {draw.error_m, length_m, draw.error_seed});
        for (std::size_t c = 0; c < error.size(); ++c) ground.z[c] += error[c];
    };
    Progress silent(stderr, ProgressStyle::silent);
    Site site = drawn_site(run_.site, draw, reference_);
    site.archive = "none";
    try {
        run_site(std::move(site), request, silent);
    } catch (const InputError& error) {
        throw RunError(fmt::format("run {} of the ensemble can't be done: {}", number, error.what()));
    }
    keep(results, folder);
    fs::remove_all(results, ignored);
}

}  // namespace lielow
