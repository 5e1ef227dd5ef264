# SPDX-License-Identifier: Apache-2.0
"""One run with every part on a small invented ground, for all tests that open what it writes."""
import atexit
import pathlib
import shutil
import subprocess
import sys
import tempfile
import unittest

from osgeo import gdal

from cli_case import Cli, rolling_ground, write_dem, write_polygon

SAMPLES = pathlib.Path("/usr/lib/python3/dist-packages/osgeo_utils/samples")
SITE = """title = "Lower <Mill> & bank"
[ground]
dem = "dem.tif"
fields = "fields.gpkg"
vertical_accuracy = "0.1 m"
[night]
date = 2026-04-18
evening_air = "48 degF"
cell = "20 m"
hours_below = "32 degF"
[spots]
at = "Gate: 500030, 4399970"
[water]
stage = "5 ft"
storm = "3 in"
storm_shape = "type II"
storm_cell = "10 m"
[soil]
survey = "soil.gpkg"
tests = "tests.csv"
[drain]
cell = "10 m"
[crop]
kind = "highbush blueberry"
stage = "full bloom"
[ensemble]
runs = 2
"""
TESTS = "name,kind,x,y,ph\nHole 1,ph,500060,4399950,5.1\n"
SURVEY = dict(drclassdcd="Well drained", ksat_r=9.0, resdept_r=150.0, ph1to1h2o_r=5.5)


def make_results(program):
    """One run with every part, on a small invented ground; its folder."""
    folder = pathlib.Path(tempfile.mkdtemp(prefix="lielow_gis_"))
    z = rolling_ground(60, 80)
    z[25:35, 35:45] -= 2  # a hollow
    z[:4, :6] = -9999  # ground of which nothing is known
    write_dem(folder / "dem.tif", z)
    raster = gdal.Open(str(folder / "dem.tif"), gdal.GA_Update)
    raster.GetRasterBand(1).SetNoDataValue(-9999)
    del raster
    write_polygon(folder / "fields.gpkg", "POLYGON((500020 4399980,500140 4399980,500140 4399890,500020 4399890,"
                  "500020 4399980))", name="Mill & <Piece>")
    write_polygon(folder / "soil.gpkg", "POLYGON((499990 4399800,500200 4399800,500200 4400010,499990 4400010,"
                  "499990 4399800))", **SURVEY)
    (folder / "tests.csv").write_text(TESTS)
    (folder / "farm.toml").write_text(SITE)
    ran = subprocess.run([program, "run", "farm.toml", "--out", "out", "--quiet"], cwd=folder, capture_output=True,
                         text=True, timeout=120, check=False)
    if ran.returncode != 0:
        raise RuntimeError(ran.stderr)
    return folder


class Gis(unittest.TestCase):
    """One run for all of them."""
    folder = None

    @classmethod
    def setUpClass(cls):
        if Gis.folder is None:
            Gis.folder = make_results(Cli.program)
            atexit.register(shutil.rmtree, Gis.folder, ignore_errors=True)
        cls.out = cls.folder / "out"
        cls.rasters = sorted((cls.out / "rasters").glob("*.tif"))
        cls.classes = [p for p in cls.rasters if (p.parent / (p.name + ".aux.xml")).exists()]

    def validate(self, script, *arguments):
        ran = subprocess.run([sys.executable, str(SAMPLES / script), *map(str, arguments)], capture_output=True,
                             text=True, timeout=60, check=False)
        self.assertEqual(ran.returncode, 0, f"{arguments}: {ran.stdout}{ran.stderr}")
