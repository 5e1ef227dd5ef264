#!/usr/bin/python3
# SPDX-License-Identifier: Apache-2.0
"""How much a night's answer depends on what the program chooses: the sheets' step of temperature and the coarse cell.

Runs `lielow run --only night` on the demo farm and on real ground (tools/real_ground.py), halves one choice at a time
and compares `night_offset` with that of the finest run, cell by cell on the DEM's own grid and by the fields' medians.
Prints Markdown tables for docs/verification.md. A coarse cell as fine as the DEM's is the night solved at full
resolution; the others are read off coarse cells, so the same table tells what that reading costs.

Real ground has no fields; a 3 x 3 pattern of rectangles stands in for them. The full study takes an hour or so.
"""
import argparse
import dataclasses
import json
import os
import pathlib
import re
import shutil
import subprocess
import sys
import tempfile

import numpy as np
from osgeo import gdal, ogr, osr

PROJECT = pathlib.Path(__file__).resolve().parent.parent
sys.path.insert(0, str(PROJECT / "tools"))
import real_ground  # noqa: E402

MOST_SHEETS = 32  # StackParameters::most_sheets
CELLS = {"demo": [20, 10, 5], "volcano": [40, 20, 10], "jacksboro_utm": [360, 180, 90]}  # m


@dataclasses.dataclass(frozen=True)
class Choice:
    """One run's settings; None leaves a choice to the program."""
    cell: float | None = None
    sheets: int | None = None
    step: float | None = None  # K

    def keys(self):
        """As the site file writes them."""
        texts = {"cell": self.cell and f'"{self.cell:g} m"', "sheets": self.sheets and f"{self.sheets}",
                 "sheet_step": self.step and f'"{self.step:.6f} K"'}
        return {key: text for key, text in texts.items() if text}


@dataclasses.dataclass
class Night:
    offset: np.ndarray  # K, NaN where unknown
    medians: dict  # of each field, K
    figures: dict  # of the night in summary.json
    seconds: float  # of the night's own stage

    def cells_and_sheets(self):
        ladder = f"{self.figures['sheets']:.0f} x {self.figures['sheet_step_k']:.2f} K"
        return f"{self.figures['cell_width_m']:g} m", ladder


def with_keys(text, keys):
    """The site file's text with these keys in its [night], in place of what stood there."""
    lines, section = [], ""
    for line in text.splitlines():
        section = line.strip() if line.strip().startswith("[") else section
        if section == "[night]" and re.match(r"\s*(\w+)\s*=", line) and line.split("=")[0].strip() in keys:
            continue
        lines.append(line)
        if line.strip() == "[night]":
            lines += [f"{key} = {value}" for key, value in keys.items()]
    return "\n".join(lines) + "\n"


def values_of(path):
    raster = gdal.Open(str(path))
    band = raster.GetRasterBand(1)
    values = band.ReadAsArray().astype(float)
    values[values == band.GetNoDataValue()] = np.nan
    return values


class Site:
    """A site's folder and the nights already run there."""

    def __init__(self, name, folder, program, threads):
        self.name, self.folder, self.program, self.threads = name, folder, program, threads
        self.text = (folder / "site.toml").read_text(encoding="utf-8")
        self.nights = {}

    def night(self, choice):
        if choice not in self.nights:
            number = len(self.nights)
            site, out = self.folder / f"study{number}.toml", self.folder / f"study{number}"
            site.write_text(with_keys(self.text, choice.keys()), encoding="utf-8")
            print(f"{self.name}: {choice.keys() or 'as chosen'}", file=sys.stderr, flush=True)
            run = subprocess.run([self.program, "run", site, "--out", out, "--only", "night", "--quiet",
                                  "--threads", str(self.threads)], check=False, capture_output=True, text=True)
            if run.returncode:
                sys.exit(f"{self.name}: {run.stderr.strip()}")
            self.nights[choice] = read_night(out)
        return self.nights[choice]


def read_night(out):
    summary = json.loads((out / "summary.json").read_text(encoding="utf-8"))
    medians = {field["name"]: field["rasters"]["night_offset"]["median"] for field in summary["fields"]}
    [seconds] = [stage["time_s"] for stage in summary["run"]["stages"] if stage["stage"] == "night"]
    return Night(values_of(out / "rasters" / "night_offset.tif"), medians, summary["parts"]["night"], seconds)


def add_field_pattern(folder):
    """Nine rectangles over the middle of the DEM, named by their place, as the site's fields."""
    dem = gdal.Open(str(folder / "dem.tif"))
    west, width, _, north, _, height = dem.GetGeoTransform()
    source = ogr.GetDriverByName("GPKG").CreateDataSource(str(folder / "fields.gpkg"))
    system = osr.SpatialReference(wkt=dem.GetProjection())
    layer = source.CreateLayer("fields", system, ogr.wkbPolygon)
    layer.CreateField(ogr.FieldDefn("name", ogr.OFTString))
    rows, cols = np.linspace(0.1, 0.9, 4) * dem.RasterYSize, np.linspace(0.1, 0.9, 4) * dem.RasterXSize
    for j, row in enumerate(("north", "middle", "south")):
        for i, col in enumerate(("west", "middle", "east")):
            x = west + width * cols[i:i + 2]
            y = north + height * rows[j:j + 2]
            feature = ogr.Feature(layer.GetLayerDefn())
            feature["name"] = f"{row} {col}"
            corners = [(x[a], y[b]) for a, b in ((0, 0), (1, 0), (1, 1), (0, 1), (0, 0))]
            ring = ", ".join(f"{px:.3f} {py:.3f}" for px, py in corners)
            feature.SetGeometry(ogr.CreateGeometryFromWkt(f"POLYGON (({ring}))"))
            layer.CreateFeature(feature)
    text = (folder / "site.toml").read_text(encoding="utf-8")
    (folder / "site.toml").write_text(text.replace('dem = "dem.tif"', 'dem = "dem.tif"\nfields = "fields.gpkg"'),
                                      encoding="utf-8")


def lay_out(names, folder):
    """Folders of the grounds asked for, with a site file each."""
    shutil.copytree(PROJECT / "demo-dem", folder / "demo")
    if set(names) - {"demo"}:
        made, lacking = real_ground.make_all(folder)
        for line in lacking:
            print(f"left out: {line}", file=sys.stderr)
        for site in made:
            if site.name in names:
                add_field_pattern(site)
    return [folder / name for name in names if (folder / name / "site.toml").exists()]


def row_of(night, reference):
    """Cells of a table's row: the run, its cost, what differs from the reference."""
    steps = night.figures["steps"]
    head = [*night.cells_and_sheets(), f"{steps:.0f}", f"{night.seconds:.1f} s"]
    if night is reference:
        return head + ["reference", "", "", "", ""]
    difference = (night.offset - reference.offset)[np.isfinite(night.offset + reference.offset)]
    moved = np.array([night.medians[name] - reference.medians[name] for name in reference.medians])
    return head + [f"{difference.mean():+.3f}", f"{np.sqrt((difference**2).mean()):.3f}",
                   f"{np.percentile(abs(difference), 95):.3f}", f"{max(moved, key=abs):+.3f}",
                   f"{np.max(np.abs(moved - moved.mean())):.3f}"]


def table(head, rows):
    lines = [head, ["---"] * len(head), *rows]
    return "\n".join("| " + " | ".join(cells) + " |" for cells in lines) + "\n"


def print_series(title, nights):
    """The last night is the reference."""
    head = ["coarse cell", "sheets", "steps", "time", "bias, K", "rms, K", "95 % within, K", "most moved field, K",
            "among the fields, K"]
    print(f"{title}\n\n{table(head, [row_of(night, nights[-1]) for night in nights])}")
    print("Most moved field: the change of its median offset. Among the fields: how far one moved against the mean of\n"
          "all; what moves all alike is the reference spot's own change.\n")
    names = sorted(nights[-1].medians, key=nights[-1].medians.get)
    rows = [[*night.cells_and_sheets(), *(f"{night.medians[name]:+.2f}" for name in names)] for night in nights]
    print(f"Median offset of each field, K, coldest first:\n\n{table(['coarse cell', 'sheets', *names], rows)}")


def step_choices(chosen, cell, factors):
    """The chosen ladder with its step made smaller, as far as the most sheets allow."""
    sheets, step = chosen.figures["sheets"], chosen.figures["sheet_step_k"]
    finer = [min(MOST_SHEETS, round(sheets * factor)) for factor in factors]
    return [Choice(cell, number, step * sheets / number) for number in dict.fromkeys(finer)]


def study(site, args):
    cells = sorted(args.cells or CELLS[site.name], reverse=True)
    chosen = site.night(Choice(cell=cells[0]))  # the ladder doesn't depend on the cell
    if "step" in args.series:
        cell = args.step_cell or cells[len(cells) // 2]
        nights = [site.night(choice) for choice in step_choices(chosen, cell, args.factors)]
        print_series(f"### {site.name}: step between sheets", nights)
    if "cell" in args.series:
        print_series(f"### {site.name}: coarse cell", [site.night(Choice(cell=cell)) for cell in cells])


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--program", type=pathlib.Path, default=PROJECT / "build/tools/lielow")
    parser.add_argument("--grounds", nargs="+", choices=CELLS, default=list(CELLS))
    parser.add_argument("--series", nargs="+", choices=("step", "cell"), default=["step", "cell"])
    parser.add_argument("--cells", nargs="+", type=float, help="coarse cells, m, in place of each ground's own")
    parser.add_argument("--step-cell", type=float, help="coarse cell of the step series, m (default: the middle one)")
    parser.add_argument("--factors", nargs="+", type=float, default=[1, 2, 4], help="sheets times this, step by it")
    parser.add_argument("--threads", type=int, default=os.cpu_count())
    args = parser.parse_args()
    gdal.UseExceptions()
    osr.UseExceptions()
    with tempfile.TemporaryDirectory(prefix="night_study_") as folder:
        for site in lay_out(args.grounds, pathlib.Path(folder)):
            study(Site(site.name, site, args.program.resolve(), args.threads), args)


if __name__ == "__main__":
    main()
