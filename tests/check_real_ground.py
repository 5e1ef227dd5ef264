#!/usr/bin/python3
# SPDX-License-Identifier: Apache-2.0
"""Runs the program on real ground (tools/real_ground.py) and checks what must hold there.

Usage: check_real_ground.py PROGRAM
Fills and hollows are checked against scikit-image's morphological reconstruction, which shares no code with ours. A
ground whose package cannot be had is left out, with the reason printed; nothing at all to run on is status 77.
"""
import json
import pathlib
import subprocess
import sys
import tempfile
import unittest

import numpy as np
from osgeo import gdal
from skimage.morphology import reconstruction

PROJECT = pathlib.Path(__file__).resolve().parent.parent
sys.path.insert(0, str(PROJECT / "tools"))
import real_ground  # noqa: E402

ADIABATIC = 0.0098  # K/m, what height alone costs air that is otherwise alike


def raster(path):
    """float64 values, NaN where nothing."""
    source = gdal.Open(str(path))
    band = source.GetRasterBand(1)
    values = band.ReadAsArray().astype(float)
    if band.GetNoDataValue() is not None:
        values[values == band.GetNoDataValue()] = np.nan
    return values


def on_grid_of(path, dem):
    """The DEM on the grid of a result (a geographic DEM's results are in UTM)."""
    like = gdal.Open(str(path))
    t = like.GetGeoTransform()
    bounds = (t[0], t[3] + t[5] * like.RasterYSize, t[0] + t[1] * like.RasterXSize, t[3])
    ground = gdal.Warp("", str(dem), format="MEM", outputBounds=bounds, width=like.RasterXSize,
                       height=like.RasterYSize, dstSRS=like.GetProjection(), resampleAlg="bilinear",
                       outputType=gdal.GDT_Float32, dstNodata=np.nan)
    return ground.ReadAsArray().astype(float)


def flooded_from(z, sources):
    """Lowest level at which each cell joins a source over eight neighbours, m; NaN stays NaN."""
    known = np.isfinite(z)
    high = np.nanmax(z) + 1
    ground = np.where(known, z, high)
    level = reconstruction(np.where(sources, ground, high), ground, method="erosion", footprint=np.ones((3, 3)))
    return np.where(known & (level < high), level, np.nan)


def edge(z):
    """Cells on the raster's edge or beside a cell without a value: they drain."""
    beside = np.pad(np.isnan(z), 1, constant_values=True)
    rows, cols = z.shape
    out = np.zeros(z.shape, bool)
    for i in range(3):
        for j in range(3):
            out |= beside[i:i + rows, j:j + cols]
    return out & np.isfinite(z)


def figure(record, name):
    """The first number whose name begins so, wherever in summary.json it stands."""
    pairs = record.items() if isinstance(record, dict) else enumerate(record) if isinstance(record, list) else []
    for key, value in pairs:
        if str(key).startswith(name) and isinstance(value, (int, float)):
            return value
        inside = figure(value, name)
        if inside is not None:
            return inside
    return None


class RealGround(unittest.TestCase):
    """One run for each ground; `runs` maps a ground's name to its folder and its results."""
    runs = {}
    whole = ("jacksboro", "volcano")  # everything is run
    own_grid = ("jacksboro_utm", "volcano")  # projected: results lie on the DEM's own cells

    def on_each(self, check, names):
        for name in self.runs.keys() & set(names):
            with self.subTest(ground=name):
                check(*self.runs[name])

    def test_heat_closes(self):
        def check(_, out):
            residual = figure(json.loads((out / "summary.json").read_text(encoding="utf-8")), "heat_residual")
            self.assertIsNotNone(residual, "summary.json names no heat_residual")
            self.assertLess(abs(residual), 1e-6)
        self.on_each(check, self.whole)

    def test_low_ground_is_colder_than_high_ground(self):
        def check(site, out):
            path = out / "rasters" / "night_low.tif"
            low = raster(path)
            z = on_grid_of(path, site / "dem.tif")
            both = np.isfinite(low) & np.isfinite(z)
            lowest, highest = np.percentile(z[both], [10, 90])
            for air in (low, low + ADIABATIC * z):
                self.assertLess(air[both & (z <= lowest)].mean(), air[both & (z >= highest)].mean())
        self.on_each(check, self.whole)

    def test_hollow_depth_is_reconstruction(self):
        def check(site, out):
            z = raster(site / "dem.tif")
            expected = flooded_from(z, edge(z)) - z
            self.assertGreater(np.nanmax(expected), 1.0)  # else there'd be nothing to compare
            self.assert_same(raster(out / "rasters" / "hollow_depth.tif"), expected, z)
        self.on_each(check, self.own_grid)

    def test_fill_stage_is_reconstruction(self):
        def check(site, out):
            z = raster(site / "dem.tif")
            expected = flooded_from(z, z == np.nanmin(z)) - np.nanmin(z)
            self.assert_same(raster(out / "rasters" / "fill_stage.tif"), expected, z)
        self.on_each(check, self.own_grid)

    def assert_same(self, found, expected, z):
        """To the rounding of float32 elevations, and with values in the same cells."""
        np.testing.assert_allclose(found, expected, rtol=0, atol=np.spacing(np.float32(np.nanmax(z))))


def main():
    if len(sys.argv) != 2:
        sys.exit(__doc__)
    program = pathlib.Path(sys.argv.pop()).resolve()
    gdal.UseExceptions()
    with tempfile.TemporaryDirectory() as folder:
        sites, lacking = real_ground.make_all(pathlib.Path(folder))
        print("\n".join(f"left out: {line}" for line in lacking))
        if not sites:
            sys.exit(77)
        for site in sites:
            settings = site / "site.toml"  # half the usual sheets: nothing here hangs on tenths of a degree
            text = settings.read_text(encoding="utf-8").replace("[night]\n", "[night]\nsheets = 12\n")
            settings.write_text(text, encoding="utf-8")
            parts = [] if site.name in RealGround.whole else ["--only", "water"]
            subprocess.run([program, "run", site / "site.toml", "--out", site / "out", "--quiet", *parts], check=True)
            RealGround.runs[site.name] = (site, site / "out")
        unittest.main(verbosity=2)


if __name__ == "__main__":
    main()
