#!/usr/bin/python3
# SPDX-License-Identifier: Apache-2.0
"""How far a too small ground errs, and what nesting mends: measures the table of docs/verification.md.

Usage: nest_figures.py NEST_STUDY [PAGE]
Runs build/tests/nest_study on invented hills and on real ground (real_ground.py; what cannot be had is left out) and
prints the table, or puts it into PAGE between "<!-- nest -->" and "<!-- end -->".
"""
import pathlib
import subprocess
import sys
import tempfile

import numpy as np
from osgeo import gdal

import real_ground

HEAD = """| ground | fields, m | farm, m | edges | root mean square, K | most, K | mean, K | air from beyond |
| --- | --- | --- | --- | --- | --- | --- | --- |
"""
# Name, ground, its middle cells, hours, outer cells, the farm's side in the ground's.
CASES = (
    ("hills", None, None, "2", "1,2,4", ("0.5", "0.25")),
    ("ridges", "jacksboro_utm", 160, "6", "2,4", ("0.5", "0.3")),
    ("cone", "volcano", 60, "3", "2,4", ("0.6", "0.4")),
)


def middle_of(dem, cells, raw):
    """Writes the middle `cells` x `cells` as float32; returns the cell's width, m."""
    source = gdal.Open(str(dem))
    col, row = (source.RasterXSize - cells) // 2, (source.RasterYSize - cells) // 2
    z = source.GetRasterBand(1).ReadAsArray(col, row, cells, cells).astype(np.float32)
    if not (z > -500).all():
        sys.exit(f"{dem} has cells without a value in its middle")
    z.tofile(raw)
    return source.GetGeoTransform()[1]


def measure(study, folder, cases=CASES):
    """Rows of the table, as text."""
    made, lacking = real_ground.make_all(folder)
    for line in lacking:
        print(f"left out: {line}", file=sys.stderr)
    rows = ""
    for name, ground, cells, hours, ratios, shares in cases:
        where = ["hills"]
        if ground is not None:
            if folder / ground not in made:
                continue
            raw = folder / f"{ground}.raw"
            where = [raw, str(cells), str(cells), str(middle_of(folder / ground / "dem.tif", cells, raw))]
        rows += subprocess.run([study, name, *where, hours, ratios, *shares], check=True, capture_output=True,
                               text=True).stdout
    return rows


def main():
    if len(sys.argv) not in (2, 3):
        sys.exit(__doc__)
    with tempfile.TemporaryDirectory() as folder:
        table = HEAD + measure(sys.argv[1], pathlib.Path(folder))
    if len(sys.argv) == 2:
        print(table, end="")
        return
    page = pathlib.Path(sys.argv[2])
    before, rest = page.read_text(encoding="utf-8").split("<!-- nest -->\n")
    after = rest.split("<!-- end -->", 1)[1]
    page.write_text(f"{before}<!-- nest -->\n{table}<!-- end -->{after}", encoding="utf-8")


if __name__ == "__main__":
    main()
