#!/usr/bin/python3
# SPDX-License-Identifier: Apache-2.0
"""The ensemble and the spots to look at next: same answers again, whatever happened in between, and what is refused.

Usage: test_sure.py LIELOW [unittest's own arguments]. Needs Debian's python3-gdal.
"""
import json
import pathlib
import shutil
import signal
import subprocess
import time
import xml.etree.ElementTree as xml

import numpy
from osgeo import gdal, ogr, osr

from cli_case import Cli, main, rolling_ground, write_dem, write_polygon

SITE = """vertical_accuracy = "{accuracy}"
[night]
date = 2026-04-18
evening_air = "50 degF"
cell = "16 m"
sheets = 8
[water]
storm = "3 in"
[crop]
kind = "apple"
stage = "full bloom"
[siting]
necessary = "frost, standing water"
[ensemble]
runs = {runs}
{more}
"""
NO_SPREAD = "heat_loss_factor = 1\nmixing_factor = 1\nconductivity_factor = 1\nretention_factor = 1\n"
GPX = "{http://www.topografix.com/GPX/1/1}"


def files_of(folder):
    """Every result but the times in summary.json."""
    found = {}
    for path in sorted(pathlib.Path(folder).rglob("*")):
        name = path.relative_to(folder)
        if not path.is_file() or name.parts[0].startswith("."):
            continue
        found[str(name)] = path.read_bytes()
    summary = json.loads(found.pop("summary.json"))
    del summary["run"]
    return found, summary


class Sure(Cli):
    def write(self, runs=3, accuracy="0.3 m", more=""):
        return self.write_site(SITE.format(runs=runs, accuracy=accuracy, more=more))

    def run_all(self, out, *arguments):
        result = self.lielow("run", "farm.toml", "--out", out, "--quiet", *arguments)
        self.assertEqual(result.returncode, 0, result.stderr)
        return result.stdout

    def raster(self, name, out):
        source = gdal.Open(str(self.folder / out / "rasters" / f"{name}.tif"))
        return source.GetRasterBand(1).ReadAsArray()

    def members(self, out):
        """Folders of the runs that are whole."""
        found = sorted((self.folder / out / ".members").glob("*/*/sums.json"))
        return [path.parent for path in found if path.parent.name.isdigit()]

    def test_same_bytes_for_other_threads_and_after_being_killed(self):
        self.write()
        self.run_all("one", "--threads", "1")
        want = files_of(self.folder / "one")
        self.run_all("two", "--threads", "2")
        self.assertEqual(files_of(self.folder / "two"), want)
        self.assertEqual(len(self.members("two")), 3)

        with subprocess.Popen([self.program, "run", "farm.toml", "--out", "killed", "--quiet"], cwd=self.folder) as job:
            while not self.members("killed") and job.poll() is None:
                time.sleep(0.01)
            job.send_signal(signal.SIGKILL)
        done = {path: path.stat().st_mtime_ns for path in self.members("killed")}
        self.assertTrue(done)
        self.assertFalse((self.folder / "killed" / "summary.json").exists())
        self.run_all("killed")
        self.assertEqual(files_of(self.folder / "killed"), want)
        for path, when in done.items():
            self.assertEqual(path.stat().st_mtime_ns, when, "a run that was whole was run again")

        # A run that was damaged is done again, one that is whole isn't, and another number isn't mistaken for it.
        damaged = self.members("two")[1]
        kept = self.members("two")[0]
        when = kept.stat().st_mtime_ns
        (damaged / "siting.tif").write_bytes(b"no raster")
        self.run_all("two")
        self.assertEqual(files_of(self.folder / "two"), want)
        self.assertEqual(kept.stat().st_mtime_ns, when)
        self.write(more="seed = 2")
        self.run_all("two")
        self.assertNotEqual(files_of(self.folder / "two")[0]["rasters/not_here_share.tif"],
                            want[0]["rasters/not_here_share.tif"])
        self.assertFalse(kept.exists())

    def test_without_spread_the_runs_are_the_site_itself(self):
        self.write(runs=2, accuracy="0 m", more=NO_SPREAD)
        text = self.run_all("out")
        siting = self.raster("siting", "out")
        share = self.raster("not_here_share", "out")
        numpy.testing.assert_array_equal(share, (siting == 2).astype(float))
        self.assertGreater((share == 1).sum(), 0)
        self.assertGreater((share == 0).sum(), 0)
        numpy.testing.assert_array_equal(self.raster("night_offset_spread", "out"), 0 * share)
        field = json.loads((self.folder / "out/summary.json").read_text())["fields"][0]
        self.assertEqual((field["settled_share"], field["confidence"]), (1, "sure"))
        self.assertIn("How sure the siting is, by 2 runs", text)

    def test_spread_shows(self):
        site = self.write(runs=4, more='night_cell = "16 m"\nheat_loss_factor = 1.03\nmixing_factor = 1.03')
        site.write_text(site.read_text().replace('cell = "16 m"', 'cell = "12 m"', 1))
        self.run_all("out")
        share = self.raster("not_here_share", "out")
        self.assertTrue(set(numpy.unique(share)) <= {0, 0.25, 0.5, 0.75, 1})
        self.assertGreater(len(numpy.unique(share)), 2)
        self.assertGreater(self.raster("night_offset_spread", "out").max(), 0.02)
        summary = json.loads((self.folder / "out/summary.json").read_text())
        field = summary["fields"][0]
        self.assertTrue(0 < field["coarse_night_differs_share"] < 1)
        counts = 4 * share
        settled = (counts == 0) | (counts == 4)  # 3 of 4 are less than 80 %
        # Cells that are always "not here", or never; these may still go from plant to work and back.
        self.assertLessEqual(field["settled_share"], settled.mean() + 1e-6)
        self.assertEqual(summary["parts"]["sure"]["runs"], 4)
        sites = ogr.Open(str(self.folder / "out/sites.gpkg"))
        row = sites.GetLayerByName("fields").GetNextFeature()
        self.assertEqual(row["confidence"], field["confidence"])

    def spots_of(self, out):
        return json.loads((self.folder / out / "summary.json").read_text()).get("test_spots", [])

    def check_spots(self, out, apart):
        """In the field, dry, out of the wall, apart; the three files say the same."""
        spots = self.spots_of(out)
        water = self.raster("storm_depth", out)
        self.assertGreater((water[10:50, 10:70] > 0.0254).sum(), 20)
        places = {}
        for spot in spots:
            x, y = spot["position"]["x"], spot["position"]["y"]
            row, col = int((4400000 - y) / 2), int((x - 500000) / 2)
            self.assertLess(water[row, col], 0.0254)
            self.assertTrue(10 <= row < 50 and 10 <= col < 70, (row, col))
            self.assertNotEqual(row, 30, "in the wall")
            for other in places.get(spot["kind"], []):
                self.assertGreaterEqual(numpy.hypot(x - other[0], y - other[1]), apart)
            places.setdefault(spot["kind"], []).append((x, y))
            self.assertGreater(len(spot["reason"]), 30)
        gpx = xml.parse(self.folder / out / "test_spots.gpx").getroot()
        self.assertEqual((gpx.tag, gpx.get("version")), (GPX + "gpx", "1.1"))
        points = gpx.findall(GPX + "wpt")
        self.assertEqual([p.find(GPX + "name").text for p in points], [s["name"] for s in spots])
        to_ground = self.transformation()
        for point, spot in zip(points, spots):
            x, y, _ = to_ground.TransformPoint(float(point.get("lon")), float(point.get("lat")))
            self.assertAlmostEqual(x, spot["position"]["x"], 1)
            self.assertAlmostEqual(y, spot["position"]["y"], 1)
            self.assertAlmostEqual(float(point.find(GPX + "ele").text), spot["elevation_m"], 2)
            self.assertIn(spot["reason"], point.find(GPX + "desc").text)
        sites = ogr.Open(str(self.folder / out / "sites.gpkg"))
        layer = sites.GetLayerByName("test_spots")
        self.assertEqual([f["name"] for f in layer], [s["name"] for s in spots])
        return spots

    @staticmethod
    def transformation():
        systems = []
        for code in (4326, 26917):
            system = osr.SpatialReference()
            system.ImportFromEPSG(code)
            system.SetAxisMappingStrategy(osr.OAMS_TRADITIONAL_GIS_ORDER)
            systems.append(system)
        return osr.CoordinateTransformation(*systems)

    def write_with_field(self, more):
        site = self.write(runs=0, more=more)
        z = rolling_ground(60, 80)
        y, x = numpy.mgrid[0:60, 0:80]
        z -= 1.5 * numpy.exp(-((y - 22) ** 2 + (x - 40) ** 2) / 30).astype("float32")  # a hollow that fills
        write_dem(self.folder / "dem.tif", z)
        write_polygon(self.folder / "fields.gpkg", "POLYGON((500020 4399980, 500140 4399980, 500140 4399900, 500020 4399900, "
                         "500020 4399980))", name="Long field")
        write_polygon(self.folder / "walls.gpkg", "LINESTRING(500000 4399939, 500160 4399939)", kind="wall", height="5 ft")
        site.write_text(site.read_text().replace("[night]", 'fields = "fields.gpkg"\nobstacles = "walls.gpkg"\n'
                                                 "[night]", 1))

    def test_spots_without_an_ensemble(self):
        self.write_with_field('[look]\nthermometers = 3\nauger_holes = 5\napart = "14 m"\n')
        text = self.run_all("out")
        spots = self.check_spots("out", 14)
        self.assertEqual([s["name"] for s in spots], ["T1", "T2", "T3", "A1", "A2", "A3", "A4", "A5"])
        self.assertIn("T2, Long field", text)
        self.assertEqual({s["field"] for s in spots}, {"Long field"})
        self.run_all("again", "--threads", "1")
        self.assertEqual(files_of(self.folder / "again"), files_of(self.folder / "out"))

    def test_fewer_spots_where_there_is_no_room(self):
        self.write_with_field('[look]\nthermometers = 40\nauger_holes = 0\napart = "50 m"\n')
        text = self.run_all("out")
        spots = self.check_spots("out", 50)
        self.assertTrue(0 < len(spots) < 10)
        self.assertIn(f"{len(spots)} of 40 spots for a thermometer are proposed", text)

    def test_no_spots_asked_for(self):
        self.write(runs=0, more="[look]\nthermometers = 0\nauger_holes = 0\n")
        self.run_all("out")
        self.assertFalse((self.folder / "out/test_spots.gpx").exists())
        self.assertEqual(self.spots_of("out"), [])

    def test_refused(self):
        self.write(runs=-1)
        self.assert_refused(self.lielow("run", "farm.toml"), "farm.toml, line", "ensemble.runs = -1", "from 0 to 1000")
        self.write(more="mixing_factor = 0.5")
        self.assert_refused(self.lielow("run", "farm.toml"), "ensemble.mixing_factor = 0.5", "from 1 to 100")
        site = self.write()
        site.write_text(site.read_text().replace('vertical_accuracy = "0.3 m"\n', ""))
        for command in ("run", "check"):
            self.assert_refused(self.lielow(command, "farm.toml", "--quiet"), "farm.toml: ensemble.runs = 3 needs",
                                'vertical_accuracy = "0.1 m" under [ground]')
        site = self.write()
        site.write_text(site.read_text().replace('kind = "apple"\nstage = "full bloom"\n', ""))
        self.assert_refused(self.lielow("run", "farm.toml", "--quiet"), "needs crop.kind")
        self.assertFalse((self.folder / "out").exists() and any((self.folder / "out").rglob("*.tif")))

    def test_no_ensemble_of_some_parts(self):
        self.write()
        text = self.run_all("out", "--only", "water")
        self.assertFalse((self.folder / "out/rasters/not_here_share.tif").exists())
        self.assertNotIn("How sure", text)
        shutil.rmtree(self.folder / "out")
        text = self.run_all("out", "--only", "water", "--only", "sure")
        self.assertIn("the ensemble isn't run", text)


if __name__ == "__main__":
    main(__doc__)
