// SPDX-License-Identifier: Apache-2.0
#include "tools/compare_run.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <fstream>
#include <iterator>
#include <set>

#include "io/file_fingerprint.hpp"
#include "io/raster.hpp"
#include "io/result_raster.hpp"
#include "io/staging.hpp"
#include "sim/errors.hpp"
#include "tools/raster_styles.hpp"
#include "tools/read_ground.hpp"
#include "tools/run_site.hpp"
#include "tools/version.hpp"

namespace lielow {
namespace {

namespace fs = std::filesystem;

const char* const key_file = "inputs.sha256";

std::string cover_text(const CoverClass& c) {
    return fmt::format("{}|{}|{}|{}|{}|{}\n", c.name, c.code.value_or(0), c.loss, c.ground_drag.value_or(-1),
                       c.height_m, c.canopy_drag);
}

std::string text_in(const fs::path& file) {
    std::ifstream stream(file, std::ios::binary);
    return {std::istreambuf_iterator<char>(stream), {}};
}

void write_text(const fs::path& file, const std::string& text) {
    std::ofstream stream(file, std::ios::binary);
    stream << text;
    stream.close();
    if (!stream) throw RunError(fmt::format("{} can't be written; is the disk full?", file.string()));
}

std::set<fs::path> files_in(const fs::path& folder) {
    std::set<fs::path> files;
    std::error_code ignored;
    if (!fs::is_directory(folder, ignored)) return files;
    for (const auto& entry : fs::recursive_directory_iterator(folder)) {
        if (entry.is_regular_file()) files.insert(fs::relative(entry.path(), folder));
    }
    return files;
}

/// The key and every file beside it, so that a folder from which something was taken isn't kept.
std::string seal_of(const std::string& key, const std::set<fs::path>& files) {
    std::string text = key + "\n";
    for (const fs::path& file : files) text += file.generic_string() + "\n";
    return text;
}

bool is_whole(const fs::path& folder, const std::string& key) {
    std::set<fs::path> files = files_in(folder);
    if (files.erase(key_file) == 0) return false;
    return text_in(folder / key_file) == seal_of(key, files);
}

void write_changes(const Variant& variant, const Dem& dem, const fs::path& base, const fs::path& made) {
    for (const ChangeRaster& raster : change_rasters()) {
        const fs::path file = fs::path("rasters") / fmt::format("{}.tif", raster.of);
        if (!fs::exists(made / file) || !fs::exists(base / file)) continue;
        Field<float> change = read_result_raster(made / file, dem.ground.grid);
        const Field<float> before = read_result_raster(base / file, dem.ground.grid);
        for (std::size_t c = 0; c < change.size(); ++c) change[c] -= before[c];
        fs::create_directories(made / "changes");
        const std::string name = fmt::format("{}_change", raster.of);
        write_raster(made / "changes" / (name + ".tif"), dem.geo, std::move(change),
                     {name, fmt::format("{}: with {} less without it", raster.what, variant.name),
                      std::string(raster.unit)});
    }
    write_raster_styles(made / "changes", variant.site.units);
}

void remove_stale(const fs::path& folder, const std::set<fs::path>& old, const std::set<fs::path>& made) {
    std::error_code ignored;
    for (const fs::path& file : old) {
        if (made.count(file) == 0) fs::remove(folder / file, ignored);
    }
}

}  // namespace

std::span<const ChangeRaster> change_rasters() {
    static constexpr std::array<ChangeRaster, 6> all{{
        {"night_low", "Lowest air temperature of the night", "K"},
        {"loss_share", "Expected share of the flowers killed that night", "1"},
        {"storm_depth", "Depth of the storm's water", "m"},
        {"hollow_depth", "Depth below the spill level of a closed hollow", "m"},
        {"fill_stage", "Stage at which the cell first goes under", "m"},
        {"drain_days", "Days after the storm until the root zone stays free of water", "days"},
    }};
    return all;
}

std::string variant_key(const Variant& variant, const std::string& base_key) {
    const Site& site = variant.site;
    std::string text = fmt::format("{}\n{}\n", version(), base_key);
    for (const std::string& part : variant.parts) text += part + "\n";
    for (const SiteSetting& setting : site.settings)
        text += fmt::format("{}={}\n", setting.key, setting.text);
    for (const CoverClass& c : site.cover) text += cover_text(c);
    for (const InputRecord& input : input_records(site))
        text += fmt::format("{}={} {}\n", input.key, input.file, input.fingerprint.sha256);
    for (const Remedy& remedy : site.done) text += fmt::format("{}: {}\n", remedy.name, remedy.text);
    return fingerprint_of_text(text).sha256;
}

bool run_variant(const Variant& variant, const Dem& dem, const std::string& key, const fs::path& out,
                 Progress& progress) {
    if (variant.parts.empty() || is_whole(out / variant.folder, key)) return false;
    progress.start_over();
    Staging staging(out);
    const fs::path made = staging.path(fs::path(variant.folder) / key_file).parent_path();
    const bool is_base = variant.folder == "base";
    RunRequest request{made, variant.parts};
    request.report = false;
    // The siting weighs what a remedy changes with what it leaves as it is.
    if (!is_base) request.reuse = out / "base";
    run_site(variant.site, request, progress);
    if (!is_base) write_changes(variant, dem, out / "base", made);
    const std::set<fs::path> files = files_in(made);
    write_text(made / key_file, seal_of(key, files));
    const std::set<fs::path> old = files_in(out / variant.folder);
    std::error_code ignored;
    fs::remove(out / variant.folder / key_file, ignored);  // not whole while files are being exchanged
    staging.commit();
    std::set<fs::path> kept = files;
    kept.insert(key_file);
    remove_stale(out / variant.folder, old, kept);
    return true;
}

}  // namespace lielow
