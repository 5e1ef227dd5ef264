#!/usr/bin/python3
# SPDX-License-Identifier: Apache-2.0
"""Remedies: what each of them must change, what it must leave alone to the bit, and how a bad one is refused.

Usage: test_compare.py LIELOW [unittest's own arguments]. Needs Debian's python3-gdal and python3-skimage.
"""
import csv
import filecmp
import json

import numpy
from osgeo import gdal
from skimage.morphology import reconstruction

from cli_case import QUICK_NIGHT, Cli, main, rolling_ground, write_dem, write_polygon

ROWS, COLS = 60, 120  # cells of 2 m; x from 500000, y from 4400000 down
CROP = '[crop]\nkind = "highbush blueberry"\nstage = "full bloom"\n'
SOIL = '[soil]\nconductivity = "5 in/h"\nfloor_depth = "6 ft"\n[drain]\ndays = 7\ntable_depth = "3 ft"\n'
ACRE = 4046.8564224


def draw():
    """A draw that falls eastward by 3 %, its sides rising."""
    y, x = (numpy.mgrid[0:ROWS, 0:COLS] + 0.5) * 2
    return (130 - 0.03 * x + 6 * ((y - ROWS) / 60) ** 2).astype("float32")


def bowl():
    """A slope of 4 % eastward with a round hollow in it, its middle in the middle of cell (30, 40)."""
    y, x = (numpy.mgrid[0:ROWS, 0:COLS] + 0.5) * 2
    away = numpy.hypot(x - 81, y - 61)
    return (120 - 0.04 * x - 3 * numpy.exp(-(away / 16) ** 2)).astype("float32")


def pools(z):
    """Depth of every closed hollow up to its spill level, by scikit-image."""
    seed = z.copy()
    seed[1:-1, 1:-1] = z.max()
    return reconstruction(seed, z, method="erosion", footprint=numpy.ones((3, 3))) - z


def box(left, bottom, right, top):
    """Sides in metres east of the corner and south of it."""
    x, y = (500000 + left, 500000 + right), (4400000 - bottom, 4400000 - top)
    return f"(({x[0]} {y[0]},{x[1]} {y[0]},{x[1]} {y[1]},{x[0]} {y[1]},{x[0]} {y[0]}))"


class Compare(Cli):
    def site(self, z, text, fields=None):
        write_dem(self.folder / "dem.tif", z)
        fields = fields or {"West": box(20, 90, 100, 30), "East": box(140, 90, 220, 30)}
        geojson = {"type": "FeatureCollection", "crs": {"type": "name", "properties": {"name": "EPSG:26917"}},
                   "features": [{"type": "Feature", "properties": {"name": name}, "geometry": {
                       "type": "Polygon", "coordinates": [[[float(v) for v in corner.split()] for corner in
                                                           ring[2:-2].split(",")]]}} for name, ring in fields.items()]}
        (self.folder / "fields.geojson").write_text(json.dumps(geojson))
        (self.folder / "farm.toml").write_text('[ground]\ndem = "dem.tif"\nfields = "fields.geojson"\n' + text)

    def compare(self, *arguments, out="out"):
        result = self.lielow("compare", "farm.toml", "--quiet", "--out", out, *arguments)
        self.assertEqual(result.returncode, 0, result.stderr)
        self.said = result.stdout
        comparison = json.loads((self.folder / out / "comparison.json").read_text())
        return {r["name"]: r for r in comparison["remedies"]}

    def refused(self, remedy, *words):
        text = (self.folder / "farm.toml").read_text()
        (self.folder / "bad.toml").write_text(text + '[remedy."Mine"]\n' + remedy)
        self.assert_refused(self.lielow("compare", "bad.toml", "--quiet", "--out", "bad"), *words)
        self.assertFalse((self.folder / "bad").exists())

    def raster(self, *path, out="out"):
        band = gdal.Open(str(self.folder.joinpath(out, *path)) + ".tif")
        values = band.ReadAsArray().astype(float)
        values[values == -9999] = numpy.nan
        return values

    def assert_same_rasters(self, one, two, names):
        for name in names:
            self.assertTrue(filecmp.cmp(self.folder / one / f"rasters/{name}.tif",
                                        self.folder / two / f"rasters/{name}.tif", shallow=False), name)

    def assert_nothing_changes(self, remedy):
        for field in remedy["fields"]:
            for name, figure in field.items():
                if name != "name" and figure["change"] is not None:
                    self.assertEqual(figure["change"], 0, f"{field['name']}: {name}")
        for name, figure in remedy["sent_on"].items():
            change = figure["change"] if isinstance(figure, dict) else figure
            self.assertIn(change, (0, None, ""), name)


class Cold(Compare):
    def walled(self, remedies, more="", cell="20 m"):
        write_polygon(self.folder / "bank.gpkg", "LINESTRING(500121 4400000,500121 4399880)", kind="bank", height="12 ft")
        self.site(draw(), 'obstacles = "bank.gpkg"\n' + QUICK_NIGHT.replace("20 m", cell) + more + remedies)

    def test_a_gap_in_a_bank_lets_the_cold_go(self):
        self.walled('[remedy."A way out"]\nkind = "gap"\nat = "500121, 4399940"\nwidth = "70 ft"\n', cell="10 m")
        remedy = self.compare()["A way out"]
        change = self.raster("a-way-out", "changes", "night_low_change")
        # The bank's own cell of the night ends at column 65; from the middle of the next one on it is below.
        print("above, K:", change[30, 45:58].mean(), "below:", change[30, 68:84].mean())
        self.assertGreater(change[30, 45:58].min(), 0.1)
        self.assertLess(change[30, 68:84].max(), -0.05)
        west, east = remedy["fields"]
        self.assertGreater(west["night_low_least_c"]["change"], 0)
        self.assertLess(east["night_low_least_c"]["change"], 0)
        base = self.raster("base", "rasters", "night_low")
        numpy.testing.assert_array_equal(
            change.astype("float32"), self.raster("a-way-out", "rasters", "night_low").astype("float32")
            - base.astype("float32"))
        # Water ran into the bank too; drain has no soil.
        self.assertEqual(remedy["parts"], ["night", "water"])
        outside = numpy.ones((ROWS, COLS), bool)
        outside[15:45, 10:50] = outside[15:45, 70:110] = False
        self.assertAlmostEqual(remedy["sent_on"]["outside_colder_m2"],
                               4 * (outside & (change < -0.5 / 1.8)).sum(), delta=1e-6)
        self.assertAlmostEqual(remedy["sent_on"]["outside_most_colder_k"], -change[outside].min(), delta=1e-6)

    def test_a_later_stage_changes_the_crop_alone(self):
        self.walled('[remedy."Wait"]\nkind = "later stage"\nstage = "petal fall"\n'
                    '[remedy."As it is"]\nkind = "later stage"\nstage = "full bloom"\n', CROP)
        remedies = self.compare("--only", "night")
        self.assert_nothing_changes(remedies["As it is"])
        for name in ("night_low", "night_offset", "loss_share"):
            if name != "loss_share":
                self.assert_same_rasters("out/base", "out/wait", [name])
            self.assert_same_rasters("out/base", "out/as-it-is", [name])
            zero = self.raster("as-it-is", "changes", f"{name}_change") if name != "night_offset" else numpy.zeros(1)
            self.assertTrue((zero == 0).all())
        self.assertNotEqual(remedies["Wait"]["fields"][0]["flowers_lost_share"]["change"], 0)
        settings = json.loads((self.folder / "out/wait/summary.json").read_text())["settings"]
        self.assertIn('remedy "Wait"', json.dumps(settings["crop.stage"]).replace('\\"', '"'))

    def test_the_same_bits_without_again_and_with_all(self):
        gap = '[remedy."Gap"]\nkind = "gap"\nat = "500121, 4399940"\nwidth = "70 ft"\n'
        belt = ('[remedy."Belt"]\nkind = "hedge"\nat = "500061, 4400000; 500061, 4399880"\nheight = "20 ft"\n'
                'openness = 0.05\n')
        self.walled(gap + belt)
        self.compare("--only", "night")
        names = ["night_low", "night_offset", "cold_depth"]
        self.walled(belt)
        result = self.lielow("run", "farm.toml", "--only", "night", "--out", "plain")
        self.assertEqual(result.returncode, 0, result.stderr)
        self.assert_same_rasters("plain", "out/base", names)
        # All together is what the ground would be with both drawn in the obstacles' file: gap and belt both act.
        both = self.raster("together", "rasters", "night_low")
        for one in ("gap", "belt"):
            self.assertGreater(abs(both - self.raster(one, "rasters", "night_low")).max(), 0.05)
        self.walled(gap.replace("Gap", "Other gap") + belt.replace("Belt", "Other"))
        self.compare("--only", "night", out="again")
        self.assert_same_rasters("out/together", "again/together", names)
        self.assert_same_rasters("out/base", "again/base", names)


class Water(Compare):
    STORM = '[water]\nstorm = "30 in"\n'
    DITCH = ('[remedy."Ditch"]\nkind = "ditch"\nat = "500081, 4399939; 500181, 4399939"\ndepth = "20 in"\n')

    def test_a_ditch_lowers_the_pond_by_what_the_fill_says(self):
        self.site(bowl(), self.STORM + self.DITCH)
        remedy = self.compare("--only", "water")["Ditch"]
        z, depth = bowl(), 20 * 0.0254
        bed = numpy.linspace(z[30, 40] - depth, z[30, 90] - depth, 51)  # from the hollow's middle out
        dug = z.copy()
        dug[30, 40:91] = numpy.minimum(z[30, 40:91], bed.astype("float32"))
        self.assertLess(pools(dug)[30, 40], 0.1 * pools(z)[30, 40])  # it does lead out
        for folder, z in (("base", bowl()), ("ditch", dug)):
            numpy.testing.assert_allclose(self.raster(folder, "rasters", "storm_depth"), pools(z), atol=2e-5)
        field = remedy["fields"][0]["storm_ponded_m2"]
        inside = numpy.s_[15:45, 10:50]
        for which, z in (("without", bowl()), ("with", dug)):
            self.assertAlmostEqual(field[which], 4 * (pools(z)[inside] >= 0.0254).sum(), delta=1e-3)
        self.assertLess(field["change"], 0)
        volume = 4 * (pools(dug).sum() - pools(bowl()).sum())
        self.assertAlmostEqual(remedy["sent_on"]["storm_ponded_m3"]["change"], volume, delta=0.01)
        self.assertAlmostEqual(remedy["sent_on"]["storm_left_ground_m3"]["change"], -volume, delta=0.01)
        self.assertIn("Ditch", self.said)

    def test_a_bank_that_turns_water_away_shows_where_it_leaves(self):
        y, x = (numpy.mgrid[0:ROWS, 0:COLS] + 0.5) * 2
        plane = (120 - 0.02 * x - 0.001 * y).astype("float32")
        self.site(plane, self.STORM + '[remedy."Bank"]\nkind = "bank"\nheight = "3 ft"\n'
                  'at = "500100, 4400000; 500160, 4399880"\n')
        sent = self.compare("--only", "water")["Bank"]["sent_on"]
        # Everything west of the bank ran off the east side; now it runs along the bank to its southern end.
        west = 4 * sum((2 * (c + 0.5) < 100 + 60 * (r + 0.5) / ROWS) for r in range(ROWS) for c in range(COLS))
        print("turned away, of the ground west of the bank:", sent["leaves_elsewhere_m2"] / west)
        self.assertGreater(sent["leaves_elsewhere_m2"], 0.9 * west)
        east, north = map(float, sent["leaves_at"].split(","))
        self.assertLess(abs(east - 500160), 61)
        self.assertLess(north, 4399880 + 61)

    def test_a_moved_field_is_told_by_the_same_rasters(self):
        self.site(bowl(), self.STORM + QUICK_NIGHT
                  + '[remedy."Stay"]\nkind = "moved field"\nfields = "West"\n' 'east = "0 ft"\n'
                  '[remedy."East of it"]\nkind = "moved field"\nfields = ["West"]\n' 'east = "40 m"\nnorth = "-4 m"\n')
        remedies = self.compare()
        self.assertEqual(remedies["East of it"]["parts"], ["water"])
        self.assert_nothing_changes(remedies["Stay"])
        low = self.raster("base", "rasters", "night_low")
        moved = remedies["East of it"]["fields"][0]
        self.assertAlmostEqual(moved["night_low_least_c"]["with"], low[17:47, 30:70].min(), delta=1e-4)
        self.assertAlmostEqual(moved["storm_ponded_m2"]["with"], 4 * (pools(bowl())[17:47, 30:70] >= 0.0254).sum(),
                               delta=1e-3)
        self.assertEqual(remedies["East of it"]["fields"][1]["night_low_least_c"]["change"], 0)


class Ground(Compare):
    def test_drains_in_one_field_and_beds(self):
        self.site(draw(), '[water]\nstorm = "2 in"\n' + SOIL + QUICK_NIGHT.replace("20 m", "30 m")
                  + '[remedy."Pipes"]\nkind = "drains"\nspacing = "20 ft"\ndepth = "3 ft"\nfields = "East"\n'
                  '[remedy."Beds"]\nkind = "raised bed"\nheight = "12 in"\nfields = "West"\n', {"West": box(20, 24, 100, 4), "East": box(140, 24, 220, 4)})
        remedies = self.compare()
        for name in ("Pipes", "Beds"):
            self.assertEqual(remedies[name]["parts"], ["drain"])
            self.assertFalse((self.folder / "out" / name.lower() / "rasters/night_low.tif").exists())
        west, east = remedies["Pipes"]["fields"]
        days = self.raster("pipes", "changes", "drain_days_change")
        self.assertLess(days[2:12, 70:110].mean(), -0.1)
        self.assertLess(east["drain_days_median"]["change"], 0)
        # What is uphill feels nothing but other time steps, which are allowed errors of 4 % (docs/drainage.md).
        without = self.raster("base", "rasters", "drain_days")
        self.assertTrue((abs(days[:, :50]) <= 0.01 * without[:, :50]).all())
        self.assertLess(abs(west["drain_days_median"]["change"]), 0.01 * west["drain_days_median"]["without"])
        self.assertLess(east["drain_days_median"]["change"], -0.1 * east["drain_days_median"]["without"])
        beds = self.raster("beds", "changes", "drain_days_change")
        self.assertLess(beds[2:12, 10:50].mean(), -0.1)
        beds[2:12, 10:50] = 0
        self.assertTrue((beds == 0).all())  # the water is the same, only roots stand higher
        # A bed as high as h moves the roots by h: as if the roots were shallower by so much.
        both = self.raster("together", "changes", "drain_days_change")
        self.assertLess(both[2:12, 10:50].mean(), -0.1)
        self.assertLess(both[2:12, 70:110].mean(), -0.1)
        (self.folder / "farm.toml").write_text(
            (self.folder / "farm.toml").read_text().replace("days = 7", 'days = 7\nroot_depth = "18 in"'))
        shallow = self.lielow("run", "farm.toml", "--only", "drain", "--out", "shallow")
        self.assertEqual(shallow.returncode, 0, shallow.stderr)
        numpy.testing.assert_allclose(self.raster("beds", "rasters", "drain_days")[2:12, 10:50],
                                      self.raster("rasters", "drain_days", out="shallow")[2:12, 10:50], atol=1e-4)


    def test_a_ditch_leads_the_storms_water_out_of_the_hollow(self):
        self.site(bowl(), '[water]\nstorm = "4 in"\nrunoff_share = 0.5\n' + SOIL + Water.DITCH)
        remedy = self.compare("--only", "water,drain")["Ditch"]
        self.assertEqual(remedy["parts"], ["water", "drain"])
        ponded = [json.loads((self.folder / "out" / f / "summary.json").read_text())["parts"]["drain"]["ponded_at_start_m3"]
                  for f in ("base", "ditch")]
        self.assertLess(ponded[1], 0.7 * ponded[0])
        change = self.raster("ditch", "changes", "drain_days_change")
        self.assertLess(change[30, 44:52].max(), -0.5)  # where its bed, cut through the rim, lies below the roots
        self.assertLess(remedy["fields"][0]["wet_after_2_days_m2"]["change"], 0)


class Restart(Compare):
    def test_what_is_whole_is_kept(self):
        self.site(bowl(), Water.STORM + Water.DITCH)
        first = self.compare("--only", "water")
        self.assertNotIn("Kept from", self.said)
        stamp = (self.folder / "out/ditch/summary.json").stat().st_mtime_ns
        again = self.compare("--only", "water")
        self.assertEqual(first, again)
        self.assertIn("Kept from an earlier comparison, its inputs being the same: base, ditch.", self.said)
        self.assertEqual((self.folder / "out/ditch/summary.json").stat().st_mtime_ns, stamp)
        # A raster taken away, another depth, another ground: computed anew.
        (self.folder / "out/ditch/rasters/storm_depth.tif").unlink()
        self.compare("--only", "water")
        self.assertIn("the same: base.", self.said)
        self.site(bowl(), Water.STORM + Water.DITCH.replace("20 in", "2 in"))
        self.compare("--only", "water")
        self.assertIn("the same: base.", self.said)
        self.site(bowl() + 1, Water.STORM + Water.DITCH)
        self.compare("--only", "water")
        self.assertNotIn("Kept from", self.said)
        self.assertEqual(sorted(p.name for p in (self.folder / "out").iterdir()),
                         ["base", "comparison.csv", "comparison.json", "ditch"])

    def test_one_thread_and_several_give_the_same(self):
        self.site(bowl(), Water.STORM + Water.DITCH + QUICK_NIGHT
                  + '[remedy."Gap"]\nkind = "hedge"\nat = "500121, 4400000; 500121, 4399880"\nheight = "9 ft"\n'
                  'openness = 0.2\n')
        self.compare("--threads", 1, out="one")
        self.compare("--threads", 3, out="three")
        files = [p.relative_to(self.folder / "one") for p in (self.folder / "one").rglob("*") if p.is_file()]
        self.assertGreater(len(files), 20)
        for file in files:
            if file.name != "summary.json":
                self.assertTrue(filecmp.cmp(self.folder / "one" / file, self.folder / "three" / file, shallow=False),
                                file)

    def test_the_table_for_spreadsheets(self):
        self.site(bowl(), Water.STORM + Water.DITCH)
        remedy = self.compare("--only", "water")["Ditch"]
        with open(self.folder / "out/comparison.csv", newline="") as file:
            rows = list(csv.DictReader(file))
        ponded = [r for r in rows if r["figure"] == "ponded after the storm" and r["field"] == "West"]
        self.assertEqual([r["unit"] for r in ponded], ["acres"])
        self.assertAlmostEqual(float(ponded[0]["with"]), remedy["fields"][0]["storm_ponded_m2"]["with"] / ACRE, delta=1e-5)


class Refusals(Compare):
    def setUp(self):
        super().setUp()
        write_polygon(self.folder / "bank.gpkg", "LINESTRING(500121 4400000,500121 4399880)", kind="bank", height="12 ft")
        self.site(rolling_ground(ROWS, COLS), 'obstacles = "bank.gpkg"\n' + QUICK_NIGHT)

    def test_one_line_each(self):
        self.refused('kind = "gapp"\n', "bad.toml, line 10", 'remedy "Mine": unknown kind "gapp"', '"gap"')
        self.refused('heights = "2 ft"\n', 'remedy "Mine": kind is missing; write one of raised bed, drains')
        self.refused('kind = "bank"\nat = "500010, 4399990; 500030, 4399990"\n', "height is missing; write height")
        self.refused('kind = "raised bed"\nheight = 2\n', "height must be a text in quotes")
        self.refused('kind = "raised bed"\nheights = "2 ft"\n', 'knows no heights; the nearest it knows is height')
        self.refused('kind = "raised bed"\nheight = "2 acres"\n', "height", "length")
        self.refused('kind = "drains"\nspacing = "1 in"\n', "spacing = 1 in is out of range")
        self.refused('kind = "gap"\nat = "500010, 4399990"\nwidth = "20 ft"\n', 'remedy "Mine" is a gap that touches no')
        self.refused('kind = "gap"\nat = "500121, 4399940"\n', "width is missing")
        self.refused('kind = "gap"\nat = "500121"\nwidth = "20 ft"\n', '"500121" is no map position')
        self.refused('kind = "ditch"\nat = "500010, 4399990"\ndepth = "2 ft"\n', "a line needs two or more")
        self.refused('kind = "ditch"\nat = "400010, 4399990; 400020, 4399990"\ndepth = "2 ft"\n', "lies outside the DEM")
        self.refused('kind = "bank"\nat = "400010, 4399990; 400020, 4399990"\nheight = "2 ft"\n', "lies outside the DEM")
        self.refused('kind = "ditch"\nat = "500150, 4399990; 500010, 4399990"\ndepth = "2 ft"\n', "would run uphill")
        self.refused('kind = "ditch"\nfile = "none.gpkg"\ndepth = "2 ft"\n', "none.gpkg")
        self.refused('kind = "moved field"\nfields = "West"\n' 'east = "20 mi"\n', "the field would lie outside the DEM")
        self.refused('kind = "moved field"\nfields = "West"\n', "write either east and north")
        self.refused('kind = "moved field"\nfields = "Wset"\n' 'east = "20 m"\n', 'there is no field "Wset"; the nearest is "West"')
        self.refused('kind = "raised bed"\nheight = "1 ft"\n', "give soil.conductivity")
        self.refused('kind = "later stage"\nstage = "full bloom"\n', "needs a crop")
        self.refused('kind = "later stage"\n', "nothing is changed")

    def test_no_remedy_at_all(self):
        result = self.lielow("compare", "farm.toml", "--quiet", "--out", "bad")
        self.assert_refused(result, "there is no remedy to compare")

    def test_check_lists_and_judges_remedies(self):
        text = (self.folder / "farm.toml").read_text()
        (self.folder / "farm.toml").write_text(text + '[remedy."Way out"]\nkind = "gap"\nwidth = "20 ft"\n'
                                               'at = "500121, 4399940"\n')
        result = self.lielow("check", "farm.toml")
        self.assertEqual(result.returncode, 0, result.stderr)
        self.assertIn('Remedy "Way out": gap, at 500121, 4399940, width 20 ft', result.stdout)
        (self.folder / "farm.toml").write_text(text + '[remedy."Way out"]\nkind = "gap"\nwidth = "20 ft"\n'
                                               'at = "500021, 4399940"\n')
        self.assert_refused(self.lielow("check", "farm.toml", "--quiet"), "touches no belt")


if __name__ == "__main__":
    main(__doc__)
