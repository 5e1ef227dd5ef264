#!/usr/bin/python3
# SPDX-License-Identifier: Apache-2.0
"""Checks that demo-dem/ is the farm its README describes, and that tools/make_demo.py still makes it."""
import pathlib
import subprocess
import sys
import tempfile
import tomllib
import unittest

import numpy as np
from osgeo import gdal, ogr
from skimage import measure, morphology

PROJECT = pathlib.Path(__file__).resolve().parent.parent
DEMO = PROJECT / "demo-dem"
CELL = 2.0  # m
ACRE = 4046.8564224  # m2, international


def ground(folder=DEMO, name="dem.tif"):
    source = gdal.Open(str(folder / name))
    return source.GetRasterBand(1).ReadAsArray(), source.GetGeoTransform()


def shapes(name, folder=DEMO):
    """Attributes and geometry of each polygon."""
    source = ogr.Open(str(folder / name))
    return [(f.items(), f.GetGeometryRef().Clone()) for f in source.GetLayer(0)]


def cells_inside(shape):
    """True for the cells whose centres lie inside."""
    source = gdal.Open(str(DEMO / "dem.tif"))
    mask = gdal.GetDriverByName("MEM").Create("", source.RasterXSize, source.RasterYSize, 1, gdal.GDT_Byte)
    mask.SetGeoTransform(source.GetGeoTransform())
    mask.SetProjection(source.GetProjection())
    layer_file = ogr.GetDriverByName("Memory").CreateDataSource("")
    layer = layer_file.CreateLayer("one", source.GetSpatialRef())
    feature = ogr.Feature(layer.GetLayerDefn())
    feature.SetGeometry(shape)
    layer.CreateFeature(feature)
    gdal.RasterizeLayer(mask, [1], layer, burn_values=[1])
    return mask.ReadAsArray().astype(bool)


class Demo(unittest.TestCase):
    def test_is_small(self):
        self.assertLess(sum(path.stat().st_size for path in DEMO.iterdir()), 2_000_000)

    def test_generator_makes_it(self):
        with tempfile.TemporaryDirectory() as folder:
            subprocess.run([PROJECT / "tools" / "make_demo.py", folder], check=True)
            made, where = ground(pathlib.Path(folder))
            wide, wide_at = ground(pathlib.Path(folder), "wide.tif")
            tests = (pathlib.Path(folder) / "tests.csv").read_text(encoding="utf-8")
            soils = [(v, shape.ExportToWkt()) for v, shape in shapes("soil.gpkg", pathlib.Path(folder))]
            record = (pathlib.Path(folder) / "station.csv").read_text(encoding="utf-8").splitlines()
        kept, at = ground()
        self.assertEqual(where, at)
        # Another libm may tip the rounding to whole centimetres; it must not move the ground.
        self.assertLess(np.abs(made - kept).max(), 0.02)
        self.assertEqual(tests, (DEMO / "tests.csv").read_text(encoding="utf-8"))
        self.assertEqual(soils, [(v, shape.ExportToWkt()) for v, shape in shapes("soil.gpkg")])
        kept, at = ground(name="wide.tif")
        self.assertEqual(wide_at, at)
        self.assertLess(np.abs(wide - kept).max(), 0.15)
        kept_record = (DEMO / "station.csv").read_text(encoding="utf-8").splitlines()
        self.assertEqual(len(record), len(kept_record))
        differ = sum(a != b for a, b in zip(record, kept_record))  # tipped roundings to whole degrees
        self.assertLess(differ, 5)

    def test_site_file_names_files_that_are_there(self):
        site = tomllib.loads((DEMO / "site.toml").read_text(encoding="utf-8"))
        for key in ("dem", "around", "fields", "belts", "obstacles"):
            self.assertTrue((DEMO / site["ground"][key]).is_file(), key)
        self.assertTrue((DEMO / site["station"]["record"]).is_file())
        for key in ("survey", "tests"):
            self.assertTrue((DEMO / site["soil"][key]).is_file(), key)

    def test_five_fields_of_4_to_20_acres_on_the_ground(self):
        z, at = ground()
        fields = shapes("fields.gpkg")
        self.assertEqual(len({values["name"] for values, _ in fields}), 5)
        for values, shape in fields:
            self.assertTrue(shape.IsValid(), values["name"])
            self.assertTrue(4 < shape.GetArea() / ACRE < 20, values["name"])
            west, east, south, north = shape.GetEnvelope()
            self.assertTrue(at[0] < west and east < at[0] + CELL * z.shape[1], values["name"])
            self.assertTrue(at[3] - CELL * z.shape[0] < south and north < at[3], values["name"])

    def test_fields_lie_from_upland_to_outlet(self):
        z, _ = ground()
        middle = {v["name"]: float(np.median(z[cells_inside(s)])) for v, s in shapes("fields.gpkg")}
        order = ["Top Rail", "Shelf Piece", "Kettle Piece", "Long Swale", "Low Gate"]
        self.assertEqual(sorted(middle, key=middle.get, reverse=True), order)

    def test_one_large_hollow_in_kettle_piece(self):
        z, _ = ground()
        seed = np.full_like(z, z.max())
        seed[0], seed[-1], seed[:, 0], seed[:, -1] = z[0], z[-1], z[:, 0], z[:, -1]
        depth = morphology.reconstruction(seed, z, method="erosion", footprint=np.ones((3, 3))) - z
        hollows = measure.regionprops(measure.label(depth > 0), intensity_image=depth)
        largest = max(hollows, key=lambda hollow: hollow.area)
        self.assertTrue(1 < largest.area * CELL**2 / ACRE < 2)
        self.assertTrue(1.5 < largest.intensity_max < 3)
        kettle = next(shape for values, shape in shapes("fields.gpkg") if values["name"] == "Kettle Piece")
        self.assertTrue(cells_inside(kettle)[tuple(largest.coords.T)].all())

    def test_relief_and_outlet(self):
        z, _ = ground()
        self.assertTrue(40 < z.max() - z.min() < 60)
        self.assertEqual(np.unravel_index(z.argmin(), z.shape)[1], z.shape[1] - 1)  # on the east edge

    def test_belt_crosses_the_drainage_way(self):
        z, _ = ground()
        (values, shape), = shapes("belts.gpkg")
        self.assertEqual(values["height"], "40 ft")
        self.assertTrue(0 < values["openness"] < 1)
        inside = cells_inside(shape)
        cols = np.flatnonzero(inside.any(axis=0))
        lowest = z[:, cols].argmin(axis=0)  # where the drainage way runs through these columns
        self.assertTrue(inside[lowest, cols].any())
        rows = np.flatnonzero(inside.any(axis=1))
        for end in (rows[0], rows[-1]):  # both ends stand well above it
            self.assertGreater(z[end][inside[end]].min(), z[lowest, cols].min() + 2)

    def test_soils_cover_the_ground_without_overlap_and_miss_the_hollow(self):
        soils = shapes("soil.gpkg")
        z, at = ground()
        whole = CELL**2 * z.size
        self.assertAlmostEqual(sum(shape.GetArea() for _, shape in soils), whole, delta=1)
        kettle = next(shape for values, shape in shapes("fields.gpkg") if values["name"] == "Kettle Piece")
        said = {v["drclassdcd"] for v, shape in soils if shape.Intersects(kettle.Centroid())}
        self.assertEqual(said, {"Well drained"})  # so that the program has a wet spot to ask about

    def test_hedge_crosses_the_drainage_way_and_its_gate_lies_there(self):
        z, at = ground()
        (hedge, line), (gate, point) = shapes("obstacles.gpkg")
        self.assertEqual((hedge["kind"], gate["kind"]), ("hedge", "gap"))
        self.assertLess(line.Distance(point), 1)

        def height(x, y):
            return z[int((at[3] - y) / CELL), int((x - at[0]) / CELL)]

        line.Segmentize(CELL)
        along = [height(x, y) for x, y, *_ in line.GetPoints()]
        self.assertLess(height(point.GetX(), point.GetY()), min(along) + 0.2)


if __name__ == "__main__":
    gdal.UseExceptions()
    ogr.UseExceptions()
    sys.exit(unittest.main(verbosity=2))
