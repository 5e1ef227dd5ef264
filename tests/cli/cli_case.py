# SPDX-License-Identifier: Apache-2.0
"""What the tests of the program share: an invented ground, files to point at it, and one folder for each test."""
import os
import pathlib
import shutil
import subprocess
import sys
import tempfile
import unittest

import numpy
from osgeo import gdal, ogr, osr

for module in (gdal, ogr, osr):
    module.UseExceptions()

NIGHT = '[night]\ndate = 2026-04-18\nevening_air = "48 degF"\ncell = "20 m"\n'
QUICK_NIGHT = NIGHT + 'sheets = 8\n'  # a third of the work; for what doesn't hang on hundredths of a degree


def rolling_ground(rows, cols):
    """Hills and closed hollows, m."""
    y, x = numpy.mgrid[0:rows, 0:cols].astype("float32")
    return (100 + 6 * numpy.sin(x / 23) * numpy.cos(y / 31) + 0.02 * x).astype("float32")


def write_dem(path, z, north=4400000, unit="m", east=500000, cell=2):
    rows, cols = z.shape
    raster = gdal.GetDriverByName("GTiff").Create(str(path), cols, rows, 1, gdal.GDT_Float32)
    raster.SetGeoTransform([east, cell, 0, north, 0, -cell])
    system = osr.SpatialReference()
    system.ImportFromEPSG(26917)
    raster.SetProjection(system.ExportToWkt())
    raster.GetRasterBand(1).SetUnitType(unit)
    raster.GetRasterBand(1).WriteArray(z)


def write_polygon(path, wkt, **attributes):
    """One polygon or line with its attributes, texts or numbers."""
    shape = ogr.CreateGeometryFromWkt(wkt)
    target = ogr.GetDriverByName("GPKG").CreateDataSource(str(path))
    system = osr.SpatialReference()
    system.ImportFromEPSG(26917)
    layer = target.CreateLayer("outlines", system, shape.GetGeometryType())
    for name, value in attributes.items():
        layer.CreateField(ogr.FieldDefn(name, ogr.OFTString if isinstance(value, str) else ogr.OFTReal))
    feature = ogr.Feature(layer.GetLayerDefn())
    feature.SetGeometry(shape)
    for name, value in attributes.items():
        feature[name] = value
    layer.CreateFeature(feature)


class Cli(unittest.TestCase):
    """A folder of its own for each test, and how the program answers in it."""
    program = ""

    def setUp(self):
        self.folder = pathlib.Path(tempfile.mkdtemp(prefix="lielow_cli_"))
        self.addCleanup(shutil.rmtree, self.folder)

    def lielow(self, *arguments, **options):
        return subprocess.run([self.program, *map(str, arguments)], cwd=self.folder, capture_output=True, text=True,
                              timeout=120, **options)

    def assert_refused(self, result, *words, status=2):
        """Nothing on stdout, one line on stderr that says every one of `words`."""
        self.assertEqual(result.returncode, status, result.stderr)
        self.assertEqual(result.stdout, "")
        self.assertRegex(result.stderr, r"\Alielow: [^\n]+\n\Z")
        for word in words:
            self.assertIn(word, result.stderr)

    def write_site(self, text="", rows=60, cols=80):
        write_dem(self.folder / "dem.tif", rolling_ground(rows, cols))
        site = self.folder / "farm.toml"
        site.write_text('[ground]\ndem = "dem.tif"\n' + text)
        return site

    def run_water(self, *arguments, **options):
        return self.lielow("run", "farm.toml", "--only", "water", *arguments, **options)


def main(usage):
    """The tests of the calling script; its first argument is the program."""
    if len(sys.argv) < 2:
        sys.exit(usage)
    Cli.program = os.path.abspath(sys.argv.pop(1))
    unittest.main(verbosity=2)
