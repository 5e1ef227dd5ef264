#!/usr/bin/python3
# SPDX-License-Identifier: Apache-2.0
"""Draw what verify_flow and measure_limits have found, and put their tables on a page.

    build/tests/verify_flow flow.json
    build/tests/measure_limits limits.json
    tools/verification_figures.py FIGURES [--flow flow.json] [--limits limits.json] [--page PAGE.md]

writes one picture per group of flow cases (profile against exact, convergence) and one of a night's spectra into the
directory FIGURES. On PAGE.md what stands between "<!-- NAME -->" and "<!-- end -->" is replaced by the table of that
name in the files given; every table must find its place.
"""
import argparse
import io
import json
import pathlib
import re
import sys
import textwrap

import matplotlib

matplotlib.use("Agg")
import matplotlib.pyplot as plt  # noqa: E402
from matplotlib.ticker import NullFormatter, ScalarFormatter  # noqa: E402
from PIL import Image  # noqa: E402

# Picture: the start of its cases' names.
GROUPS = {
    "bump": ("bump_",),
    "dam_break": ("dam_break_wet", "dam_break_dry", "dam_break_friction"),
    "bowls": ("thacker_",),
    "channels_manning": ("channel_sub_manning", "channel_super_manning", "channel_sub_super_manning",
                         "channel_super_sub_manning", "channel_rain_sub_manning", "channel_rain_super_manning",
                         "channel_short"),
    "channels_darcy": ("channel_sub_darcy", "channel_super_darcy", "channel_sub_super_darcy",
                       "channel_super_sub_darcy", "channel_rain_sub_darcy", "channel_rain_super_darcy"),
    "rain": ("rain_plane_", "tilted_v"),
    "two_sheets": ("internal_wave_", "two_sheets_"),
    "cold_air": ("incline_", "lock_of_cold_air"),
}
COLOURS = {"first": "tab:orange", "second": "tab:blue"}
LARGEST = 60_000  # bytes a picture may have


def by_case(runs):
    """Runs of every case, in the order they came."""
    cases = {}
    for run in runs:
        cases.setdefault(run["name"], []).append(run)
    return cases


def draw_profile(axes, schemes):
    """What the schemes gave on their finest grid, over the exact solution."""
    last = schemes[-1]
    if last["ground"]:
        axes.fill_between(last["x"], last["ground"], min(last["ground"]), color="0.85", linewidth=0)
    axes.plot(last["x"], last["exact"], color="black", linewidth=1.6, label="exact")
    for run in schemes:
        axes.plot(run["x"], run["computed"], "--", color=COLOURS[run["scheme"]], linewidth=1.0,
                  label=f"{run['scheme']}, {run['cells'][-1]} cells")
    axes.set_title(textwrap.fill(last["title"], 42), fontsize=6.5)
    axes.set_xlabel(last["axis"], fontsize=6)
    axes.set_ylabel(last["quantity"], fontsize=6)
    axes.tick_params(labelsize=6)
    axes.legend(fontsize=5, frameon=False)


def draw_convergence(axes, cases):
    """Errors of all cases of a group against cells along x, with slopes of order 1 and 2."""
    marks = "osv^<>DPX*hd+x"
    for mark, (name, schemes) in zip(marks, cases.items()):
        for run in schemes:
            if min(run["errors"]) > 1e-13 and len(run["errors"]) > 1:
                axes.loglog(run["cells"], run["errors"], marker=mark, markersize=3, linewidth=0.8,
                            color=COLOURS[run["scheme"]], label=f"{name}, {run['scheme']}")
    left, right = axes.get_xlim()
    low, high = axes.get_ylim()
    for order in (1, 2):
        axes.loglog([left, right], [high, high * (left / right) ** order], ":", color="0.6", linewidth=0.8)
    axes.set_xlim(left, right)
    axes.set_ylim(low, high)
    axes.set_xticks(sorted({n for schemes in cases.values() for run in schemes for n in run["cells"]})[::2])
    axes.xaxis.set_major_formatter(ScalarFormatter())
    axes.xaxis.set_minor_formatter(NullFormatter())
    axes.set_title("error; dotted: order 1 and 2", fontsize=6.5)
    axes.set_xlabel("cells along x", fontsize=6)
    axes.tick_params(labelsize=6, which="both")
    axes.legend(fontsize=4.5, frameon=False)


def draw_group(cases, path):
    """One picture: all profiles and a last panel with the errors."""
    columns = 4 if len(cases) + 1 > 6 else min(3, len(cases) + 1)
    rows = -(-(len(cases) + 1) // columns)
    figure, grid = plt.subplots(rows, columns, figsize=(2.8 * columns, 2.1 * rows), squeeze=False)
    panels = list(grid.flat)
    for axes, schemes in zip(panels, cases.values()):
        draw_profile(axes, schemes)
    draw_convergence(panels[len(cases)], cases)
    for axes in panels[len(cases) + 1:]:
        axes.axis("off")
    save(figure, path)


def draw_spectra(spectra, path):
    """Share of the energy of motion by wavelength."""
    figure, axes = plt.subplots(figsize=(5.6, 3.2))
    styles = ("-", "--", ":")
    for scheme in COLOURS:
        for style, run in zip(styles, [run for run in spectra if run["scheme"] == scheme]):
            waves = range(1, len(run["share"]))
            axes.loglog([run["cells"] / wave for wave in waves], run["share"][1:], style, color=COLOURS[scheme],
                        linewidth=1.0, label=f"{scheme} order, drag between sheets {run['interface_drag']:g}")
    axes.invert_xaxis()
    axes.set_xticks([64, 32, 16, 8, 4, 2])
    axes.xaxis.set_major_formatter(ScalarFormatter())
    axes.xaxis.set_minor_formatter(NullFormatter())
    axes.set_xlabel("wavelength, cells of 5 m", fontsize=7)
    axes.set_ylabel("share of the energy of motion", fontsize=7)
    axes.set_title("A night on rough ground, 12 sheets, quarter-hourly states of 2 h", fontsize=7.5)
    axes.tick_params(labelsize=7, which="both")
    axes.legend(fontsize=6, frameon=False)
    save(figure, path)


def save(figure, path):
    """As a small PNG: a few colours are enough."""
    figure.tight_layout(pad=0.6)
    drawn = io.BytesIO()
    figure.savefig(drawn, dpi=100)
    plt.close(figure)
    Image.open(drawn).convert("RGB").quantize(32).save(path, optimize=True)
    if path.stat().st_size > LARGEST:
        sys.exit(f"{path}: {path.stat().st_size} bytes; at most {LARGEST} are wanted")


def put_tables(page, tables):
    """Replace the marked parts of a page."""
    text = page.read_text(encoding="utf-8")
    for name, table in tables.items():
        marked = re.compile(rf"(<!-- {name} -->\n).*?(<!-- end -->)", re.S)
        if not marked.search(text):
            sys.exit(f"{page}: has no part marked <!-- {name} --> ... <!-- end -->")
        text = marked.sub(lambda part, table=table: f"{part[1]}{table}{part[2]}", text)
    page.write_text(text, encoding="utf-8")


def main():
    """Command line."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("figures", type=pathlib.Path, help="directory for the pictures")
    parser.add_argument("--flow", type=pathlib.Path, help="file written by verify_flow")
    parser.add_argument("--limits", type=pathlib.Path, help="file written by measure_limits")
    parser.add_argument("--page", type=pathlib.Path, help="page whose tables are replaced")
    arguments = parser.parse_args()
    arguments.figures.mkdir(parents=True, exist_ok=True)
    tables = {}
    if arguments.flow:
        results = json.loads(arguments.flow.read_text(encoding="utf-8"))
        cases = by_case(results["runs"])
        for group, starts in GROUPS.items():
            members = {name: runs for name, runs in cases.items() if name.startswith(starts)}
            draw_group(members, arguments.figures / f"{group}.png")
        tables |= {name: results[name] for name in ("errors", "checks")}
    if arguments.limits:
        limits = json.loads(arguments.limits.read_text(encoding="utf-8"))
        draw_spectra(limits.pop("spectra"), arguments.figures / "night_spectrum.png")
        tables |= limits
    if arguments.page:
        put_tables(arguments.page, tables)


if __name__ == "__main__":
    main()
