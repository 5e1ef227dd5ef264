// SPDX-License-Identifier: Apache-2.0
#include "tools/kept_layers.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <array>
#include <fstream>
#include <nlohmann/json.hpp>

#include "sim/errors.hpp"

namespace lielow {
namespace {

using Json = nlohmann::json;

bool is_chosen(const SiteRun& run, std::string_view part) {
    return std::find(run.chosen.begin(), run.chosen.end(), part) != run.chosen.end();
}

Json earlier_summary(const std::filesystem::path& folder) {
    std::ifstream stream(folder / "summary.json", std::ios::binary);
    Json summary = Json::parse(stream, nullptr, false);
    if (!stream || !summary.is_object())
        throw InputError(
            fmt::format("{} holds no results to reuse (there is no sound summary.json); name the "
                        "out folder of a run",
                        folder.string()));
    return summary;
}

/// Checksum of the file that `key` named in the earlier run; empty where it named none.
std::string earlier_file(const Json& summary, std::string_view key) {
    for (const Json& input : summary.value("inputs", Json::array())) {
        if (input.value("key", "") == key) return input.value("sha256", "");
    }
    return {};
}

/// Checksum of the file that the key names now; empty where it names none.
std::string file_now(const SiteRun& run, std::string_view key) {
    for (const InputRecord& input : run.summary.inputs) {
        if (input.key == key) return input.fingerprint.sha256;
    }
    return {};
}

void check_same_dem(const SiteRun& run, const Json& summary) {
    if (file_now(run, "ground.dem") == earlier_file(summary, "ground.dem")) return;
    throw InputError(fmt::format("{} holds results of another DEM than {}; run those parts again",
                                 run.reuse->string(), run.site.ground.dem.filename().string()));
}

/// Sections of the site file that the parts' results hang on.
bool hangs_on(std::string_view part, std::string_view section) {
    if (section == "ground" || section == part) return true;
    if (part == "night") return section == "crop" || section == "station";
    return part == "drain" && (section == "soil" || section == "water" || section == "crop");
}

void note_other_settings(SiteRun& run, const Json& summary, const std::vector<std::string_view>& parts) {
    std::vector<std::string> others;
    const Json then = summary.value("settings", Json::object());
    for (const SiteSetting& now : run.site.settings) {
        const std::string_view section = now.key.substr(0, now.key.find('.'));
        const bool matters = std::any_of(parts.begin(), parts.end(),
                                         [&](std::string_view part) { return hangs_on(part, section); });
        const std::string was = then.value(std::string(now.key), Json::object()).value("value", "");
        if (!matters) continue;
        const std::string file_then = earlier_file(summary, now.key);
        const std::string file = file_now(run, now.key);
        if (!file_then.empty() && !file.empty()) {  // files count by what is in them
            if (file_then != file) others.push_back(fmt::format("{} is another file", now.key));
        } else if (was != now.text) {
            others.push_back(fmt::format("{} was {}, is {}", now.key, was, now.text));
        }
    }
    if (!others.empty())
        run.summary.notes.push_back(fmt::format(
            "layers reused from {} were made with other settings: {}; run their parts again if that "
            "matters to them",
            run.reuse->string(), fmt::join(others, "; ")));
}

/// Reads the layers of parts that aren't run.
void read_earlier(SiteRun& run) {
    const Json summary = earlier_summary(*run.reuse);
    check_same_dem(run, summary);
    std::vector<std::string_view> names;
    std::vector<std::string_view> parts;
    for (const NeededLayer& layer : siting_layers()) {
        const auto path = *run.reuse / fmt::format("rasters/{}.tif", layer.name);
        if (is_chosen(run, layer.part) || !std::filesystem::exists(path)) continue;
        run.kept[std::string(layer.name)] = read_raster(path, run.dem.ground.grid, run.dem.geo);
        names.push_back(layer.name);
        if (parts.empty() || parts.back() != layer.part) parts.push_back(layer.part);
    }
    if (names.empty()) return;
    run.summary.notes.push_back(
        fmt::format("taken from the earlier run in {}: {}", run.reuse->string(), fmt::join(names, ", ")));
    note_other_settings(run, summary, parts);
}

}  // namespace

std::span<const NeededLayer> siting_layers() {
    static constexpr std::array<NeededLayer, 6> layers{{{"loss_years", "night"},
                                                        {"loss_share", "night"},
                                                        {"storm_hours", "water"},
                                                        {"storm_depth", "water"},
                                                        {"hollow_depth", "water"},
                                                        {"drain_days", "drain"}}};
    return layers;
}

void prepare_layers(SiteRun& run) {
    const bool wanted = is_chosen(run, "siting") && run.site.crop.kind;
    if (run.reuse && !wanted)
        run.summary.notes.emplace_back(
            "nothing was reused: only the siting, which needs crop.kind, reads layers");
    if (!wanted) return;
    for (const NeededLayer& layer : siting_layers()) run.keep.emplace(layer.name);
    if (run.reuse) read_earlier(run);
}

const Field<float>* find_layer(const SiteRun& run, std::string_view name) {
    const auto at = run.kept.find(name);
    return at == run.kept.end() ? nullptr : &at->second;
}

}  // namespace lielow
