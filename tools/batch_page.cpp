// SPDX-License-Identifier: Apache-2.0
#include "tools/batch_page.hpp"
#include "tools/html_text.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

#include "io/thumbnail.hpp"
#include "sim/errors.hpp"
#include "tools/looks.hpp"

namespace lielow {
namespace {

namespace fs = std::filesystem;
using PQ = PeopleQuantity;

constexpr int picture_side = 120;
constexpr double celsius_zero_k = 273.15;

/// The map that stands for a farm: the first of these that any farm has and that tells something.
struct PictureKind {
    const char* raster;
    const char* suffix;  ///< of its figures' names
    double zero;         ///< from the figure to SI
};
constexpr std::array<PictureKind, 4> picture_kinds{{
    {"siting", "", 0},
    {"night_low", "_degc", celsius_zero_k},
    {"storm_depth", "_m", 0},
    {"fill_depth", "_m", 0},
}};

struct Pictures {
    const PictureKind* kind = nullptr;
    Look look;
    ThumbnailScale scale;  ///< one for all farms, so that their colours compare
    std::vector<std::pair<std::string, Colour>> classes;
};

const char* const style = R"(
:root { color-scheme: light dark; --ink: #1b1f24; --faint: #5b6470; --paper: #fff; --line: #d5dae0;
  --bad: #9a3412; --link: #1d4e89; }
@media (prefers-color-scheme: dark) {
  :root { --ink: #e6e9ec; --faint: #9aa4b0; --paper: #15191e; --line: #343b44; --bad: #f0a070;
  --link: #8ab8f0; } }
body { font: 16px/1.45 system-ui, sans-serif; color: var(--ink); background: var(--paper);
  margin: 2rem auto;
  max-width: 76rem; padding: 0 1rem; }
a { color: var(--link); } .faint { color: var(--faint); } .bad { color: var(--bad); }
table { border-collapse: collapse; width: 100%; } th, td { text-align: left; vertical-align: top;
  padding: .5rem .7rem;
  border-bottom: 1px solid var(--line); } th button { font: inherit; font-weight: 600; color: inherit;
  background: none;
  border: 0; padding: 0; cursor: pointer; text-align: left; } th[aria-sort=ascending] button::after
  { content: " ▲"; }
th[aria-sort=descending] button::after { content: " ▼"; } td.n, th.n { text-align: right;
  white-space: nowrap; }
td img { display: block; max-width: 120px; image-rendering: pixelated; }
.key { display: inline-block; width: 1em; height: 1em; vertical-align: -.1em; margin: 0 .3em 0 1em;
  border: 1px solid var(--line); }
.ramp { display: inline-block; width: 12rem; height: .9em; vertical-align: -.1em; margin: 0 .5em;
  border: 1px solid var(--line); }
@media print { th button::after { content: "" !important; } }
)";

const char* const script = R"(
document.querySelectorAll("th button").forEach(b => b.addEventListener("click", () => {
  const th = b.parentNode, at = th.cellIndex, body = th.closest("table").tBodies[0];
  const up = th.getAttribute("aria-sort") !== "ascending";
  th.parentNode.querySelectorAll("th").forEach(o => o.removeAttribute("aria-sort"));
  th.setAttribute("aria-sort", up ? "ascending" : "descending");
  const value = r => r.cells[at].dataset.v, known = v => v !== "";
  const numbers = th.classList.contains("n");
  [...body.rows].sort((a, c) => { const x = value(a), y = value(c);
    if (known(x) !== known(y)) return known(x) ? -1 : 1;
    const order = numbers ? x - y : x.localeCompare(y); return up ? order : -order;
  }).forEach(r => body.append(r));
}));
)";

/// A folder's name as a link (RFC 3986).
std::string link(const std::string& folder) {
    std::string safe;
    for (const char c : folder) {
        const auto byte = static_cast<unsigned char>(c);
        if (byte >= 0x80) {
            safe += fmt::format("%{:02X}", byte);
        } else {
            safe += c;  // folder_name() leaves nothing else that needs it
        }
    }
    return safe;
}

fs::path raster_of(const TableFarm& farm, const char* raster, const fs::path& out) {
    return out / farm.folder / "rasters" / fmt::format("{}.tif", raster);
}

bool has(const TableFarm& farm, const char* raster, const fs::path& out) {
    std::error_code ignored;
    return farm.facts && fs::exists(raster_of(farm, raster, out), ignored);
}

/// One kind over all farms; without a range when none has it.
Pictures pictures_of(const PictureKind& kind, const std::vector<TableFarm>& farms, const fs::path& out) {
    Pictures pictures{&kind, look_of(kind.raster).value(), {}, {}};
    ThumbnailScale& scale = pictures.scale;
    scale.low = std::numeric_limits<double>::infinity();
    scale.high = -scale.low;
    if (pictures.look.ramp) scale.colours = class_colours(*pictures.look.ramp, 256);
    if (pictures.look.drawn == Drawn::from_zero) scale.blank_to = pictures.look.least_drawn_si();
    for (const TableFarm& farm : farms) {
        if (!has(farm, kind.raster, out)) continue;
        if (pictures.classes.empty()) pictures.classes = class_legend(raster_of(farm, kind.raster, out));
        const auto figure = [&](const char* which) {
            return farm.facts->figure(fmt::format("{}_{}{}", kind.raster, which, kind.suffix));
        };
        scale.low = std::fmin(scale.low, figure("least"));
        scale.high = std::fmax(scale.high, figure("greatest"));
    }
    return pictures;
}

/// A map that is the same everywhere, such as a storm that ponds nowhere, tells nothing: then the next.
Pictures choose_pictures(const std::vector<TableFarm>& farms, const fs::path& out) {
    for (const PictureKind& kind : picture_kinds) {
        Pictures pictures = pictures_of(kind, farms, out);
        if (!pictures.classes.empty() || pictures.scale.high > pictures.scale.low) return pictures;
    }
    return {};
}

std::string legend(const Pictures& pictures, PeopleUnits units) {
    if (pictures.kind == nullptr) return {};
    std::string text = fmt::format("<p>Pictures: {}.", html_text(pictures.look.title));
    if (!pictures.classes.empty()) {
        for (const auto& [name, colour] : pictures.classes)
            text += fmt::format(R"html(<span class="key" style="background:{}"></span>{})html",
                                hex_text(colour), html_text(name));
        return text + "</p>\n";
    }
    std::string stops;
    const std::vector<Colour>& colours = pictures.scale.colours;
    for (std::size_t i = 0; i <= 8; ++i)
        stops += fmt::format(",{}", hex_text(colours[i * (colours.size() - 1) / 8]));
    const auto told = [&](double figure) {
        return people_text(figure + pictures.kind->zero, pictures.look.quantity.value(), units);
    };
    text += fmt::format(
        R"html( {}<span class="ramp" style="background:linear-gradient(to right{})"></span>{})html",
        told(pictures.scale.low), stops, told(pictures.scale.high));
    if (!pictures.look.blank.empty())
        text += fmt::format(R"html(<span class="key" style="background:{}"></span>{})html",
                            hex_text(kBlankColour), html_text(pictures.look.blank));
    return text + R"( <span class="faint">(one scale for all farms, from the least to the greatest in any )"
                  "field; north is up)</span></p>\n";
}

/// A figure's cell; sorted by its SI value.
std::string number_cell(double si, PQ quantity, PeopleUnits units) {
    if (!std::isfinite(si)) return R"(<td class="n" data-v="">-</td>)";
    return fmt::format(R"(<td class="n" data-v="{:.9g}">{}</td>)", si, people_number(si, quantity, units));
}

struct FigureColumn {
    const char* head;  ///< with {} for the unit
    PQ quantity;
    double (*value)(const FarmFacts& farm);
};

double share_of_area(const FarmFacts& farm, const char* figure) {
    return farm.figure(figure) / farm.area_m2();
}

constexpr std::array<FigureColumn, 4> figure_columns{{
    {"Fields, {}", PQ::area, [](const FarmFacts& farm) { return farm.area_m2(); }},
    {"Can be planted, {}", PQ::share,
     [](const FarmFacts& farm) { return share_of_area(farm, "siting_plant_m2"); }},
    {"Coldest, {}", PQ::temperature,
     [](const FarmFacts& farm) { return farm.figure("night_low_least_degc") + celsius_zero_k; }},
    {"Ponded by the storm, {}", PQ::share,
     [](const FarmFacts& farm) { return share_of_area(farm, "storm_ponded_m2"); }},
}};

bool shown(const FigureColumn& column, const std::vector<TableFarm>& farms) {
    return std::any_of(farms.begin(), farms.end(), [&](const TableFarm& farm) {
        return farm.facts && std::isfinite(column.value(*farm.facts));
    });
}

std::string head(const std::vector<TableFarm>& farms, PeopleUnits units) {
    std::string text = "<thead><tr><th>Picture</th><th aria-sort=\"none\"><button>Farm</button></th>";
    for (const FigureColumn& column : figure_columns) {
        if (!shown(column, farms)) continue;
        text += fmt::format(R"(<th class="n"><button>{}</button></th>)",
                            fmt::format(fmt::runtime(column.head), people_unit(column.quantity, units)));
    }
    return text + "<th><button>In short</button></th></tr></thead>\n";
}

std::string farm_link(const TableFarm& farm, const fs::path& out) {
    std::error_code ignored;
    if (!farm.facts) return html_text(farm.name);
    const bool report = fs::exists(out / farm.folder / "report.html", ignored);
    return fmt::format(R"(<a href="{}/{}">{}</a>)", link(farm.folder), report ? "report.html" : "",
                       html_text(farm.name));
}

std::string words(const TableFarm& farm, PeopleUnits units) {
    if (farm.facts) {
        const std::string text = html_text(farm.facts->in_short(units));
        return fmt::format(R"(<td data-v="{0}">{0}</td>)", text);
    }
    const std::string why = farm.state == FarmState::outdated
                                ? "its results are of other inputs, settings or version; run the list again"
                                : html_text(farm.error);
    return fmt::format(R"(<td data-v=""><span class="bad">{}{}{}</span></td>)", state_word(farm.state),
                       why.empty() ? "" : ": ", why);
}

std::string table_row(const TableFarm& farm, const std::vector<TableFarm>& farms, const Pictures& pictures,
                      const fs::path& out, PeopleUnits units) {
    std::string picture;
    if (pictures.kind != nullptr && has(farm, pictures.kind->raster, out))
        picture = fmt::format(
            R"(<img alt="{}: {}" src="{}">)", html_text(farm.name), html_text(pictures.look.title),
            thumbnail_uri(raster_of(farm, pictures.kind->raster, out), picture_side, pictures.scale));
    std::string text = fmt::format("<tr><td>{}</td><td data-v=\"{}\">{}</td>", picture, html_text(farm.name),
                                   farm_link(farm, out));
    for (const FigureColumn& column : figure_columns) {
        if (!shown(column, farms)) continue;
        text += number_cell(farm.facts ? column.value(*farm.facts) : std::numeric_limits<double>::quiet_NaN(),
                            column.quantity, units);
    }
    return text + words(farm, units) + "</tr>\n";
}

}  // namespace

std::string batch_page(const std::vector<TableFarm>& farms, const fs::path& out) {
    const PeopleUnits units = units_of(farms);
    const Pictures pictures = choose_pictures(farms, out);
    const auto done =
        std::count_if(farms.begin(), farms.end(), [](const TableFarm& f) { return f.facts.has_value(); });
    std::string text =
        "<!DOCTYPE html>\n<html lang=\"en\"><head><meta charset=\"utf-8\">\n<meta name=\"viewport\" "
        "content=\"width=device-width, initial-scale=1\">\n";
    text += fmt::format("<title>{} farms</title>\n<style>{}</style></head>\n<body>\n<h1>{} farms</h1>\n",
                        farms.size(), style, farms.size());
    text += fmt::format(
        "<p>{} done{}. A screening picture to compare farms and fields with: not a forecast of any night or "
        "flood, "
        "and not a design. Walk the ground; local codes, wetland and drainage law, buried-utility checks, "
        "licensed "
        "engineers and soil scientists have the last word.</p>\n"
        "<p>The same figures and many more: <a href=\"farms.csv\">farms.csv</a> for a spreadsheet, "
        "<a href=\"farms.gpkg\">farms.gpkg</a> for a GIS. Press a column's name to sort.</p>\n",
        done,
        static_cast<std::size_t>(done) == farms.size() ? ""
                                                       : "; why the others are not stands in their rows");
    text += legend(pictures, units) + "<table>" + head(farms, units) + "<tbody>\n";
    for (const TableFarm& farm : farms) text += table_row(farm, farms, pictures, out, units);
    return text + fmt::format("</tbody></table>\n<script>{}</script>\n</body></html>\n", script);
}

}  // namespace lielow
