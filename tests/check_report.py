#!/usr/bin/python3
# SPDX-License-Identifier: Apache-2.0
"""report.html in a browser: alone, offline, on a phone, on paper, without script; what it says against the rasters.

Usage: check_report.py LIELOW NODE NPM FOLDER [KEEP]. FOLDER keeps node_modules between runs; pictures go to KEEP.
"""
import json
import pathlib
import re
import shutil
import subprocess
import sys
import tempfile
import unittest

import numpy as np
from osgeo import gdal, ogr, osr

HERE = pathlib.Path(__file__).resolve().parent
sys.path.insert(0, str(HERE.parent / "tools"))
import picture_looks  # noqa: E402

LIELOW, NODE, NPM, MODULES = sys.argv[1:5]
KEEP = pathlib.Path(sys.argv[5]) if len(sys.argv) > 5 else None
ROWS, COLS, CELL = 90, 120, 5.0  # m
WEST, NORTH = 500000.0, 4400000.0
FOOT, INCH, ACRE = 0.3048, 0.0254, 43560 * 0.3048**2
PLACES = [(20, 30), (45, 60), (70, 80), (10, 110), (80, 5)]  # row, column
SITE = """title = "Wexcombe Bottom <invented> & bare"
units = "us"
[ground]
dem = "dem.tif"
vertical_accuracy = "0.1 m"
fields = "fields.gpkg"
[night]
date = 2026-04-18
evening_air = "48 degF"
dew_point = "32 degF"
cell = "50 m"
hours_below = "32 degF"
[spots]
at = "Ridge: 500100, 4399960; Pool: 500300, 4399760"
[water]
stage = "20 ft"
storm = "2.8 in"
[crop]
kind = "apple"
stage = "full bloom"
"""


def make_site(folder):
    """A valley that falls to the south with a bowl in it; two fields."""
    x = (np.arange(COLS) + 0.5) * CELL
    y = (np.arange(ROWS) + 0.5)[:, None] * CELL
    z = 200 - 0.03 * y + 2e-4 * (x - 300) ** 2 - 3 * np.exp(-((x - 300) ** 2 + (y - 240) ** 2) / 2500)
    crs = osr.SpatialReference()
    crs.ImportFromEPSG(32617)
    dem = gdal.GetDriverByName("GTiff").Create(str(folder / "dem.tif"), COLS, ROWS, 1, gdal.GDT_Float32)
    dem.SetGeoTransform((WEST, CELL, 0, NORTH, 0, -CELL))
    dem.SetProjection(crs.ExportToWkt())
    dem.GetRasterBand(1).SetUnitType("m")
    dem.GetRasterBand(1).WriteArray(z.astype(np.float32))
    del dem
    source = ogr.GetDriverByName("GPKG").CreateDataSource(str(folder / "fields.gpkg"))
    layer = source.CreateLayer("fields", crs, ogr.wkbPolygon)
    layer.CreateField(ogr.FieldDefn("name", ogr.OFTString))
    for name, west, north in (("Upper", 60, 40), ("Lower <b>", 230, 160)):
        feature = ogr.Feature(layer.GetLayerDefn())
        feature["name"] = name
        corners = ((0, 0), (160, 0), (160, 140), (0, 140), (0, 0))
        ring = ", ".join(f"{WEST + west + dx} {NORTH - north - dy}" for dx, dy in corners)
        feature.SetGeometry(ogr.CreateGeometryFromWkt(f"POLYGON(({ring}))"))
        layer.CreateFeature(feature)
    (folder / "site.toml").write_text(SITE, encoding="utf-8")
    return z


def run(folder, out, *more):
    subprocess.run([LIELOW, "run", folder / "site.toml", "--out", folder / out, "--quiet", *more], check=True,
                   stdout=subprocess.DEVNULL)
    return folder / out / "report.html"


def make_comparison(out, compare):
    """What a comparison of one remedy leaves: the night a degree warmer."""
    shutil.copytree(out / "rasters", compare / "base" / "rasters")
    shutil.copy(out / "summary.json", compare / "base")
    (compare / "belt" / "rasters").mkdir(parents=True)
    memory = gdal.GetDriverByName("MEM").CreateCopy("", gdal.Open(str(out / "rasters" / "night_low.tif")))
    memory.GetRasterBand(1).WriteArray(memory.GetRasterBand(1).ReadAsArray() + 1)
    gdal.GetDriverByName("GTiff").CreateCopy(str(compare / "belt" / "rasters" / "night_low.tif"), memory)
    low = {"without": -2.0, "with": -1.0, "change": 1.0}
    remedy = {"name": "gap in the belt", "folder": "belt", "fields": [{"name": "Upper", "night_low_least_c": low}]}
    (compare / "comparison.json").write_text(json.dumps({"remedies": [remedy]}), encoding="utf-8")


def node_modules():
    """playwright-core as the lock file has it, fetched once into MODULES."""
    made = pathlib.Path(MODULES)
    made.mkdir(parents=True, exist_ok=True)
    for name in ("package.json", "package-lock.json", "check_report.mjs"):
        shutil.copy(HERE / "browser" / name, made)
    if not (made / "node_modules" / "playwright-core").exists():
        subprocess.run([NPM, "ci", "--ignore-scripts", "--no-audit", "--no-fund", "--prefer-offline"], cwd=made,
                       check=True, stdout=subprocess.DEVNULL)
    return made


def raster(out, name):
    source = gdal.Open(str(out / "rasters" / f"{name}.tif"))
    values = source.GetRasterBand(1).ReadAsArray().astype(float)
    values[values == -9999] = np.nan
    return values


def cie_lightness(colour):
    """CIE L* of an sRGB colour (IEC 61966-2-1, CIE 15)."""
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in (n / 255 for n in colour)]
    y = float(np.dot((0.2126, 0.7152, 0.0722), linear))
    return 116 * y ** (1 / 3) - 16 if y > 216 / 24389 else y * 24389 / 27


def number(text, unit):
    """The number before `unit` in what the map says; None where it says there is none."""
    found = re.search(rf"(−?[\d.]+)\s?{unit}(?![^;])", text.replace("\u00a0", " "))
    return float(found[1].replace("−", "-")) if found else None


class Report(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.temporary = tempfile.TemporaryDirectory()
        cls.folder = pathlib.Path(cls.temporary.name)
        cls.z = make_site(cls.folder)
        cls.one = run(cls.folder, "one", "--threads", "1")
        broken = cls.folder / "two" / "compare"
        broken.mkdir(parents=True)
        (broken / "comparison.json").write_text("no JSON", encoding="utf-8")
        cls.two = run(cls.folder, "two", "--threads", "2")
        cls.same = cls.one.read_bytes() == cls.two.read_bytes()
        cls.out = cls.folder / "two"
        shutil.rmtree(broken)
        make_comparison(cls.out, broken)
        cls.report = run(cls.folder, "two", "--threads", "2")
        cls.test_spots = json.loads((cls.out / "summary.json").read_text(encoding="utf-8"))["test_spots"]
        cls.text = cls.report.read_text(encoding="utf-8")
        (cls.folder / "places.json").write_text(
            json.dumps([((col + 0.5) * CELL, (row + 0.5) * CELL) for row, col in PLACES]), encoding="utf-8")
        pictures = KEEP or cls.folder
        pictures.mkdir(parents=True, exist_ok=True)
        cls.pdf = pictures / "report.pdf"
        seen = subprocess.run([NODE, "check_report.mjs", shutil.which("chromium"), cls.report, pictures,
                               cls.folder / "places.json"], cwd=node_modules(), stdout=subprocess.PIPE, text=True)
        if seen.returncode != 0:
            raise AssertionError("the browser's part failed, see above")
        cls.seen = json.loads(seen.stdout)

    @classmethod
    def tearDownClass(cls):
        cls.temporary.cleanup()

    def test_same_bytes_with_one_and_two_threads(self):
        self.assertTrue(self.same)

    def test_names_no_folder_of_this_machine(self):
        self.assertFalse(str(self.folder) in self.text)

    def test_values_under_the_pointer_are_the_rasters(self):
        # name: unit as told, SI to it, half of what the page rounds to (its step and the last digit)
        asked = {"night_low": ("°F", lambda v: v * 1.8 + 32, 0.5 * (0.02 * 1.8 + 0.1)),
                 "night_offset": ("°F", lambda v: v * 1.8, 0.5 * (0.02 * 1.8 + 0.1)),
                 "fill_stage": ("ft", lambda v: v / FOOT, 0.5 * (0.02 / FOOT + 0.1)),
                 "flow_speed": ("mph", lambda v: v / 0.44704, 0.5 * (0.005 / 0.44704 + 0.1)),
                 "storm_depth": ("in", lambda v: v / INCH, 0.5 * (0.005 / INCH + 0.01))}
        for name, (unit, shown, within) in asked.items():
            values = raster(self.out, name)
            for (row, col), text in zip(PLACES, self.seen["layers"][name]):
                said = number(text.split("; ground at")[0], unit)
                self.assertIsNotNone(said, f"{name}: {text}")
                self.assertAlmostEqual(said, shown(values[row, col]), delta=within + 1e-6, msg=f"{name}: {text}")

    def test_numbers_over_many_powers_of_ten_keep_their_share(self):
        values = raster(self.out, "drainage_way")
        for (row, col), text in zip(PLACES, self.seen["layers"]["drainage_way"]):
            said = number(text.split("; ground at")[0], "acres")
            acres = values[row, col] / ACRE
            self.assertAlmostEqual(said, acres, delta=0.0024 * acres + 0.005, msg=text)

    def test_ground_and_field_under_the_pointer(self):
        for (row, col), text in zip(PLACES, self.seen["layers"]["night_low"]):
            self.assertAlmostEqual(number(text, "ft"), self.z[row, col] / FOOT, delta=0.5 * (0.02 / FOOT + 0.1) + 1e-6)
        self.assertIn("Lower <b>", self.seen["layers"]["night_low"][1])
        self.assertNotIn("Lower", self.seen["layers"]["night_low"][3])

    def test_water_at_the_slider_stands_as_deep_as_the_ground_is_low(self):
        level = self.seen["stage"]["level"]
        under = raster(self.out, "fill_stage")
        for (row, col), text in zip(PLACES, self.seen["stage"]["told"]):
            if under[row, col] < level:
                depth = (self.z.min() + level - self.z[row, col]) / FOOT
                self.assertAlmostEqual(number(text.split(" of water")[0], "ft"), depth, delta=0.25, msg=text)
            else:
                self.assertIn("dry", text)

    def test_swipe_tells_both_sides(self):
        sides = re.findall(r"(−?[\d.]+)\s°F", self.seen["swipe"].replace("\u00a0", " "))
        self.assertAlmostEqual(float(sides[1].replace("−", "-")) - float(sides[0].replace("−", "-")), 1.8, delta=0.14)

    def test_colours_step_evenly_in_lightness(self):
        data = json.loads(re.search(r'id="data">(.*?)</script>', self.text, re.S)[1])
        for name in ("night_low", "fill_stage", "storm_depth", "loss_share"):
            lightness = [cie_lightness(colour) for colour in data["layers"][name]["colours"]]
            steps = np.diff(lightness)
            self.assertGreater(np.abs(steps).min(), 5, name)
            self.assertLess(np.ptp(steps), 0.25 * np.abs(steps.mean()), name)

    def test_looks_are_those_of_the_table(self):
        data = json.loads(re.search(r'id="data">(.*?)</script>', self.text, re.S)[1])
        rasters = sorted(path.stem for path in (self.out / "rasters").glob("*.tif"))
        self.assertGreaterEqual(len(rasters), 20)
        for name in rasters:
            look = picture_looks.look_of(name)
            self.assertTrue(look.title, name)
            self.assertEqual(name in data["layers"], bool(look.groups), name)
            if not look.groups:
                continue
            layer = data["layers"][name]
            self.assertEqual((layer["title"], layer["label"], layer["blank"]), (look.title, look.label, look.blank))
            scale, offset, unit = picture_looks.unit_of(look, "us")
            self.assertEqual(layer["unit"]["name"], unit, name)
            self.assertAlmostEqual(layer["unit"]["size_si"], 1 / scale, delta=1e-12 / scale)
            self.assertAlmostEqual(layer["unit"]["zero_si"], -offset / scale, places=10)
            if look.quantity != "class":
                pictures = picture_looks.class_colours(look, len(layer["limits"]) - 1) * 255
                np.testing.assert_allclose(layer["colours"], pictures, atol=0.9, err_msg=name)  # bytes, and 2000 steps

    def test_dark_where_the_reader_wants_it(self):
        self.assertLess(max(int(c) for c in re.findall(r"\d+", self.seen["dark"])[:3]), 60)

    def test_without_script_verdict_tables_and_maps_are_there(self):
        bare = self.seen["without_script"]
        self.assertIn("None of 5.54 acres can be planted as it is", bare["text"])
        self.assertGreaterEqual(bare["tables"], 5)
        self.assertGreaterEqual(bare["maps"], 3)
        self.assertGreater(bare["map_height"], 200)

    def test_paper(self):
        told = subprocess.run(["pdfinfo", self.pdf], capture_output=True, text=True, check=True).stdout
        self.assertIn("612 x 792", told)
        pages = int(re.search(r"Pages:\s+(\d+)", told)[1])
        self.assertGreaterEqual(pages, 5)
        self.assertLessEqual(pages, 12)
        text = subprocess.run(["pdftotext", "-layout", self.pdf, "-"], capture_output=True, text=True,
                              check=True).stdout
        for wanted in ("At a glance", "Lower <b>", "over 2.0 °F colder", "Cautions", "SHA-256"):
            self.assertIn(wanted, re.sub(r"\s+", " ", text))
        subprocess.run(["pdftoppm", "-r", "40", "-f", "1", "-l", "1", "-png", self.pdf, self.folder / "page"],
                       check=True)
        page = gdal.Open(str(next(self.folder.glob("page*.png")))).ReadAsArray().astype(int)
        # A map is at least two inches high and wide and has no white in it; text alone leaves every row mostly white.
        inked = page.min(axis=0) < 235
        rows_of_map = (inked.sum(axis=1) > 2 * 40).sum()
        self.assertGreater(rows_of_map, 2 * 40, "the first page has no map")

    def test_sections_only_where_there_are_data(self):
        bare = run(self.folder, "water", "--only", "water").read_text(encoding="utf-8")
        sections = re.compile('<section id="([a-z]+)">')
        self.assertEqual(sections.findall(bare), ["glance", "water", "sure", "cautions", "made"])
        self.assertEqual(sections.findall(self.text), ["glance", "night", "water", "siting", "remedies", "springs",
                                                       "sure", "next", "cautions", "made"])

    def test_measure_next_shows_the_test_spots(self):
        spots = self.test_spots
        data = json.loads(re.search(r'id="data">(.*?)</script>', self.text, re.S)[1])
        marked = next(s["points"] for s in data["points"] if s["title"] == "Where to measure")
        self.assertEqual([m["name"] for m in marked], [s["name"] for s in spots])
        for mark, spot in zip(marked, spots):
            self.assertAlmostEqual(mark["x_m"], spot["position"]["x"] - WEST, delta=0.051)
            self.assertAlmostEqual(mark["y_m"], NORTH - spot["position"]["y"], delta=0.051)
            self.assertIn(f"{spot['latitude_deg']:.5f}, {spot['longitude_deg']:.5f}", self.text)
        self.assertNotIn("Two thermometers in each field", self.text)

    def test_legend_of_the_reasons_lists_those_that_occur(self):
        data = json.loads(re.search(r'id="data">(.*?)</script>', self.text, re.S)[1])
        values = raster(self.out, "siting_reason")
        self.assertEqual({c["value"] for c in data["layers"]["siting_reason"]["classes"]},
                         set(np.unique(values[np.isfinite(values)]).astype(int)) - {255})

    def test_comparison_of_other_inputs_is_left_out(self):
        summary = self.out / "compare" / "base" / "summary.json"
        told = json.loads(summary.read_text(encoding="utf-8"))
        told["inputs"][0]["sha256"] = "0" * 64
        summary.write_text(json.dumps(told), encoding="utf-8")
        page = run(self.folder, "two", "--only", "water").read_text(encoding="utf-8")
        self.assertTrue("made from other inputs" in page)
        self.assertFalse('data-live="swipe"' in page)


if __name__ == "__main__":
    unittest.main(argv=sys.argv[:1])
