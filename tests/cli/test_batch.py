#!/usr/bin/python3
# SPDX-License-Identifier: Apache-2.0
"""Batches of farms: what comes out, what a second call does, what survives a kill, and bad lists.

Usage: test_batch.py LIELOW [unittest's own arguments]. Needs Debian's python3-gdal.
"""
import base64
import contextlib
import html.parser
import json
import os
import pathlib
import random
import re
import resource
import shutil
import signal
import subprocess
import time

import numpy
from osgeo import gdal, ogr, osr

from batch_case import FARMS, BatchCase, contents
from cli_case import main, write_dem, rolling_ground


class Page(html.parser.HTMLParser):
    """Links, pictures and words of the index page."""

    def __init__(self, text):
        super().__init__()
        self.links, self.pictures, self.outside = [], [], []
        self.feed(text)

    def handle_starttag(self, tag, attrs):
        attrs = dict(attrs)
        if tag == "a":
            self.links.append(attrs["href"])
        if tag == "img":
            self.pictures.append(attrs["src"])
        self.outside += [v for k, v in attrs.items() if k in ("src", "href") and re.match(r"(https?:)?//", v or "")]


class Results(BatchCase):
    def test_each_farm_as_if_run_alone(self):
        """A row is the same job as a site file with the same words."""
        self.write_county(FARMS[:2], columns=",water.stage", values=",6 ft")
        result = self.batch("--jobs", 2)
        self.assertEqual(result.returncode, 0, result.stderr)
        self.assertIn("2 of 2 farms are done, 2 of them now", result.stdout)
        self.assertEqual(sorted(p.name for p in self.out().iterdir()),
                         [".locks", "Alder", "Birch", "farms.csv", "farms.gpkg", "index.html", "journal.jsonl"])
        (self.folder / "alone.toml").write_text('title = "Alder"\n[ground]\ndem = "0.tif"\n'
                                                '[water]\nstorm = "3 in"\nstage = "6 ft"\n')
        self.assertEqual(self.lielow("run", "alone.toml", "--only", "water", "--out", "alone").returncode, 0)
        alone, farm = contents(self.folder / "alone"), contents(self.out("Alder"))
        for name, content in alone.items():
            if name not in ("summary.json", "report.html"):  # they name the inputs as the site file does
                self.assertEqual(farm[name], content, name)
        for key in ("title", "fields", "parts", "hollows", "storms", "ground"):
            self.assertEqual(farm["summary.json"][key], alone["summary.json"][key], key)
        self.assertEqual(sorted(set(farm) - set(alone)), ["batch-key", "site.toml"])
        again = self.lielow("run", self.out("Alder", "site.toml"), "--only", "water", "--out", "again")
        self.assertEqual(again.returncode, 0, again.stderr)  # the paths in it hold where it lies

    def test_tables_add_up(self):
        self.write_county(FARMS[:2], columns=",fields", values=",")
        field = "MULTIPOLYGON(((500010 4399990,500060 4399990,500060 4399940,500010 4399940,500010 4399990)))"
        self.write_field("alder.gpkg", field, name="Low <field> & \"quotes\"")
        self.write_list("name,dem,fields\nAlder,0.tif,alder.gpkg\nBirch,1.tif,\n")
        self.assertEqual(self.batch().returncode, 0)
        table = self.table()
        self.assertEqual(list(table), ["Alder", "Birch"])
        self.assertAlmostEqual(float(table["Alder"]["area_m2"]), 2500, places=6)
        self.assertAlmostEqual(float(table["Birch"]["area_m2"]), 40 * 60 * 4, places=6)
        for farm, row in table.items():
            fields = json.loads(self.out(farm, "summary.json").read_text())["fields"]
            self.assertAlmostEqual(float(row["under_water_m2"]), sum(f["under_water_m2"] for f in fields), places=6)
            self.assertEqual(row["state"], "done")
        county = ogr.Open(str(self.out("farms.gpkg")))
        layer = county.GetLayerByName("farms")
        self.assertEqual(layer.GetSpatialRef().GetAuthorityCode(None), "4326")
        # The outline's own corner, by PROJ from Python.
        earth, ground = osr.SpatialReference(), osr.SpatialReference()
        earth.ImportFromEPSG(4326)
        ground.ImportFromEPSG(26917)
        for system in (earth, ground):
            system.SetAxisMappingStrategy(osr.OAMS_TRADITIONAL_GIS_ORDER)
        lon, lat, _ = osr.CoordinateTransformation(ground, earth).TransformPoint(500010, 4399940)
        alder = layer.GetNextFeature()
        west, _, south, _ = alder.GetGeometryRef().GetEnvelope()
        self.assertAlmostEqual(west, lon, places=6)
        self.assertAlmostEqual(south, lat, places=6)
        names = [f["farm"] + ": " + f["name"] for f in county.GetLayerByName("fields")]
        self.assertEqual(names, ['Alder: Low <field> & "quotes"', "Birch: whole ground"])

    def test_page_needs_nothing_beside_it(self):
        self.write_county(["Ärlenhof", "R & D <farm>"])
        self.write_list((self.folder / "county.csv").read_text() + "Gone,gone.tif\n")
        self.assertEqual(self.batch().returncode, 1)
        text = self.out("index.html").read_text()
        page = Page(text)
        self.assertEqual(page.outside, [])
        self.assertEqual(len(page.pictures), 2)
        for picture in page.pictures:
            self.assertRegex(picture, r"\Adata:image/png;base64,[A-Za-z0-9+/=]+\Z")
        self.assertIn("Pictures: Depth of water at the stage asked for.", text)
        self.assertIn("linear-gradient(to right,#edf8b1,", text)  # looks.toml's ramp for depths of water
        self.assert_drawn_by_the_ramp(page.pictures[0], self.out("Ärlenhof", "rasters", "fill_depth.tif"))
        self.assertEqual(page.links, ["farms.csv", "farms.gpkg", "%C3%84rlenhof/report.html",
                                      "R___D__farm_/report.html"])
        self.assertIn("R &amp; D &lt;farm&gt;", text)
        self.assertIn("there is no file gone.tif", text)
        self.assertIn("prefers-color-scheme: dark", text)
        self.assertIn("not a forecast", text)

    def assert_drawn_by_the_ramp(self, uri, raster):
        """Grey where dry, darker where deeper."""
        gdal.FileFromMemBuffer("/vsimem/page.png", base64.b64decode(uri.split(",")[1]))
        red, green, blue, _ = gdal.Open("/vsimem/page.png").ReadAsArray().astype(int)
        depth = gdal.Open(str(raster)).ReadAsArray()
        self.assertEqual(depth.shape, red.shape)  # small enough not to be shrunk
        dry = depth <= 0.001
        self.assertTrue(dry.any() and not dry.all())
        self.assertTrue(((red == 217) & (green == 217) & (blue == 217))[dry].all())
        order = numpy.argsort(depth[~dry])
        self.assertTrue((numpy.diff(green[~dry][order]) <= 0).all())

    def test_own_site_file_in_another_folder(self):
        self.write_county(["Alder"])
        (self.folder / "elm").mkdir()
        write_dem(self.folder / "elm/ground.tif", rolling_ground(30, 30))
        (self.folder / "elm/elm.toml").write_text('title = "Elm farm"\nunits = "si"\n[ground]\ndem = "ground.tif"\n')
        self.write_list("name,site,dem\nElm,elm/elm.toml,\nAlder,,0.tif\n")
        result = self.batch()
        self.assertEqual(result.returncode, 0, result.stderr)
        elm = json.loads(self.out("Elm", "summary.json").read_text())
        self.assertEqual((elm["title"], elm["ground"]["rows"]), ("Elm farm", 30))
        self.assertEqual(elm["settings"]["units"]["value"], "si")
        self.assertEqual(json.loads(self.out("Alder", "summary.json").read_text())["title"], "Alder")


class Again(BatchCase):
    def ran(self):
        return [entry["farm"] for entry in self.journal()]

    def test_only_what_is_missing_or_changed(self):
        self.write_county(columns=",water.stage", values=",6 ft")
        self.assertEqual(self.batch().returncode, 0)
        first = contents(self.out())
        self.assertEqual(sorted(self.ran()), sorted(FARMS))
        result = self.batch()
        self.assertIn("4 of 4 farms are done, 0 of them now", result.stdout)
        self.assertEqual(contents(self.out()), first)
        self.assertEqual(len(self.ran()), 4)
        write_dem(self.folder / "1.tif", rolling_ground(40, 60) + 9, north=4401000)  # Birch's input
        text = (self.folder / "county.csv").read_text().replace("Cedar Hill,2.tif,6 ft", "Cedar Hill,2.tif,7 ft")
        self.write_list(text)
        os.remove(self.out("Dogwood", "summary.json"))
        look = self.batch("--collect")
        self.assertIn("1 of 4 farms are done", look.stdout)
        self.assertEqual([row["state"] for row in self.table().values()], ["done", "outdated", "outdated", "not run"])
        self.assertEqual(self.batch("--jobs", 1).returncode, 0)
        self.assertEqual(self.ran()[4:], ["Birch", "Cedar Hill", "Dogwood"])
        self.assertEqual(contents(self.out("Dogwood")),
                         {k.split("/", 1)[1]: v for k, v in first.items() if k.startswith("Dogwood/")})
        stages = {farm: json.loads(self.out(farm, "summary.json").read_text())["settings"]["water.stage"]["value"]
                  for farm in ("Alder", "Cedar_Hill")}
        self.assertEqual(stages, {"Alder": "6 ft", "Cedar_Hill": "7 ft"})

    def test_killed_at_any_moment_and_started_again(self):
        """Random instants with a fixed seed; whole folders only, and in the end the files of an unbroken run."""
        self.write_county(rows=60)
        started = time.monotonic()
        self.assertEqual(self.batch().returncode, 0)
        unbroken_s = time.monotonic() - started
        whole = contents(self.out())
        os.rename(self.out(), self.folder / "unbroken")
        instants = random.Random(20261128)
        call = [self.program, "batch", "county.csv", "--site", "base.toml", "--out", "out", "--only", "water"]
        kills = 0
        for _ in range(8):
            with subprocess.Popen(call, cwd=self.folder, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL) as run:
                try:
                    run.wait(instants.uniform(0.05, 0.25 * unbroken_s))
                except subprocess.TimeoutExpired:
                    run.kill()
                    kills += 1
            if self.out().exists():
                for farm in self.out().iterdir():
                    if farm.is_dir() and not farm.name.startswith("."):
                        got = contents(farm)
                        want = {k.split("/", 1)[1]: v for k, v in whole.items() if k.startswith(farm.name + "/")}
                        self.assertEqual(got, want, farm.name)
        self.assertGreater(kills, 2)
        result = self.batch()
        self.assertEqual(result.returncode, 0, result.stderr)
        self.assertEqual(contents(self.out()), whole)
        self.assertEqual([p.name for p in self.out().iterdir() if p.name.startswith(".part")], [])

    def test_children_die_with_a_killed_parent(self):
        self.write_county(["Alder"], rows=900)
        call = [self.program, "batch", "county.csv", "--site", "base.toml", "--out", "out", "--only", "water"]
        with subprocess.Popen(call, cwd=self.folder, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL) as run:
            child = self.wait_for_child(run.pid)
            run.kill()
        self.assertTrue(self.ends(child), "the child lives on")

    def wait_for_child(self, parent):
        for _ in range(400):
            children = pathlib.Path(f"/proc/{parent}/task/{parent}/children").read_text().split()
            if children and b"\0run\0" in pathlib.Path(f"/proc/{children[0]}/cmdline").read_bytes():
                return int(children[0])
            time.sleep(0.02)
        self.fail("no child was started")

    @staticmethod
    def ends(process):
        for _ in range(200):
            try:
                if pathlib.Path(f"/proc/{process}/stat").read_text().rsplit(")", 1)[1].split()[0] == "Z":
                    return True
            except FileNotFoundError:
                return True
            time.sleep(0.02)
        return False

    def test_asked_to_stop(self):
        for number in (signal.SIGINT, signal.SIGTERM):
            self.write_county(["Alder", "Birch"], rows=900)
            call = [self.program, "batch", "county.csv", "--site", "base.toml", "--out", "out", "--only", "water",
                    "--jobs", "1", "--quiet"]
            with subprocess.Popen(call, cwd=self.folder, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) as run:
                child = self.wait_for_child(run.pid)
                run.send_signal(number)
                out, err = run.communicate(timeout=60)
            self.assertEqual((run.returncode, out), (1, ""))
            self.assertEqual(err, "lielow: stopped on request; 0 of 2 farms are done, and the same call goes on from "
                                  "there\n")
            self.assertTrue(self.ends(child))
            self.assertEqual([p.name for p in self.out().iterdir()], [".locks"])


class Bad(BatchCase):
    def refused(self, text, *words, arguments=()):
        self.write_list(text)
        self.assert_refused(self.batch("--quiet", *arguments), *words)
        self.assertFalse(self.out().exists())

    def test_wrong_lists(self):
        self.write_county(["Alder"])
        self.refused("", "county.csv")
        self.refused("name,dem\n", "county.csv is empty")
        self.refused("dem,title\n0.tif,Alder\n", 'no column "name"')
        self.refused("name,dem,water.stag\nAlder,0.tif,6 ft\n", "unknown column water.stag", "nearest", "water.stage")
        self.refused("name,dem,ground.dem\nAlder,0.tif,0.tif\n", "two columns say ground.dem")
        self.refused("name,dem\n" + "Elm,0.tif\n" * 1000, "rows 1 and 2 (998 more) have the same name, Elm")
        self.refused("name,dem\nAlder,0.tif\n", "--jobs 0 must be a whole number from 1", arguments=["--jobs", "0"])
        self.refused("name,dem\nAlder,0.tif\n", "--row 2", "from 1 to 1", arguments=["--row", "2"])
        self.refused("name,dem\nAlder,0.tif\n", "--memory lots", arguments=["--memory", "lots"])
        (self.folder / "base.toml").write_text("[water]\nstage = 20\n")
        self.refused("name,dem\nAlder,0.tif\n", "base.toml, line 2, column 9: water.stage = 20 has no unit")
        self.assert_refused(self.lielow("batch", "none.csv", "--out", "out"), "there is no table none.csv")
        self.assert_refused(self.lielow("batch", "county.csv"), "--out is required")

    def test_one_bad_farm_stops_no_other(self):
        self.write_county(["Alder"])
        (self.folder / "broken.tif").write_text("no raster")
        self.write_list("name,dem,water.stage,night.cloud\nNone,none.tif,,\nBroken,broken.tif,,\nBare,0.tif,20,\n"
                        "Cloud,0.tif,,much\n,0.tif,,\nEmpty,,,\nAlder,0.tif,6 ft,0.5\n")
        result = self.batch("--quiet", "--jobs", 2)
        self.assertEqual(result.returncode, 1)
        lines = result.stderr.splitlines()
        self.assertEqual(len(lines), 7, result.stderr)  # one for each bad row and one at the end
        for line, words in zip(sorted(lines), sorted([
                "lielow: None: county.csv, row 1: ground.dem: there is no file none.tif",
                "lielow: Broken: broken.tif",
                "lielow: Bare: county.csv, row 3: column water.stage: ",
                "lielow: Cloud: county.csv, row 4: column night.cloud: ",
                "lielow: row 5: county.csv, row 5: it has no name",
                "lielow: Empty: county.csv, row 6: it names no DEM",
                "lielow: 6 of 7 farms failed: None, Broken, Bare, Cloud, row 5 and 1 more"])):
            self.assertTrue(line.startswith(words), (line, words))
        table = self.table()
        self.assertEqual([row["state"] for row in table.values()], ["failed"] * 6 + ["done"])
        for farm, row in table.items():
            self.assertEqual(bool(row["error"]), farm != "Alder")
        self.assertEqual(sorted(p.name for p in self.out().iterdir() if p.is_dir()), [".locks", "Alder"])

    def test_dem_that_vanishes_midway(self):
        self.write_county(["Alder", "Birch", "Cedar"], rows=500)
        call = [self.program, "batch", "county.csv", "--site", "base.toml", "--out", "out", "--only", "water",
                "--jobs", "1", "--quiet"]
        with subprocess.Popen(call, cwd=self.folder, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) as run:
            while not self.out(".part-Alder").exists():
                time.sleep(0.01)
            os.remove(self.folder / "1.tif")
            _, err = run.communicate(timeout=120)
        self.assertEqual(run.returncode, 1)
        self.assertRegex(err, r"\Alielow: Birch: there is no file 1\.tif\nlielow: 1 of 3 farms failed: Birch; .+\n\Z")
        self.assertEqual([row["state"] for row in self.table().values()], ["done", "failed", "done"])

    def test_disk_full_at_one_farm(self):
        """A limit on the size of a file stands for the disk: only the large farm's files pass it."""
        self.write_county(["Alder", "Birch"])
        write_dem(self.folder / "large.tif", rolling_ground(500, 500))
        self.write_list("name,dem\nAlder,0.tif\nLarge,large.tif\nBirch,1.tif\n")
        def limit():
            signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
            resource.setrlimit(resource.RLIMIT_FSIZE, (400_000, 400_000))
        result = self.batch("--quiet", preexec_fn=limit)
        self.assertEqual(result.returncode, 1)
        self.assertRegex(result.stderr, r"\Alielow: Large: can't write .+\nlielow: 1 of 3 farms failed: Large; .+\n\Z")
        self.assertEqual([row["state"] for row in self.table().values()], ["done", "failed", "done"])
        self.assertEqual(sorted(p.name for p in self.out().iterdir() if p.is_dir()), [".locks", "Alder", "Birch"])
        self.assertEqual(self.batch().returncode, 0)  # once there is room

    def test_memory_is_kept_to(self):
        self.write_county(["Alder", "Birch"])
        write_dem(self.folder / "large.tif", rolling_ground(1500, 1500))  # 80 MB + 100 bytes a cell
        self.write_list("name,dem\nLarge,large.tif\nAlder,0.tif\nBirch,1.tif\n")
        result = self.batch("--memory", "0.1", "--jobs", 3, "--quiet")
        self.assertEqual(result.returncode, 1)
        self.assertTrue(result.stderr.startswith("lielow: Large: it needs about 0.3 GB of memory and there are 0.1 GB; "),
                        result.stderr)
        self.assertEqual([row["state"] for row in self.table().values()], ["failed", "done", "done"])

    def most_at_once(self, *arguments):
        """Runs the batch; how many of its farms were seen to run at one time."""
        call = [self.program, "batch", "county.csv", "--site", "base.toml", "--out", "out", "--only", "water", "--quiet",
                *arguments]
        most = 0
        with subprocess.Popen(call, cwd=self.folder, stdout=subprocess.DEVNULL) as run:
            children = pathlib.Path(f"/proc/{run.pid}/task/{run.pid}/children")
            while run.poll() is None:
                with contextlib.suppress(OSError):  # it may end between the two
                    most = max(most, len(children.read_text().split()))
                time.sleep(0.002)
        self.assertEqual(run.returncode, 0)
        return most

    def test_farms_queue_for_memory(self):
        """80 MB + 100 bytes a cell: 0.1 GB a farm, so 0.15 GB hold one at a time and 0.25 GB two."""
        self.write_county(["Alder", "Birch", "Cedar Hill"], rows=3300)
        for memory, most in (("0.15", 1), ("0.25", 2)):
            with self.subTest(memory=memory):
                self.assertEqual(self.most_at_once("--jobs", "3", "--memory", memory), most)
                self.assertEqual([row["state"] for row in self.table().values()], ["done"] * 3)
                shutil.rmtree(self.out())

    def test_a_farm_is_run_by_one_call_only(self):
        self.write_county(["Alder"], rows=900)
        call = [self.program, "batch", "county.csv", "--site", "base.toml", "--out", "out", "--only", "water", "--quiet"]
        with subprocess.Popen(call, cwd=self.folder, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE) as run:
            while not self.out(".part-Alder", "site.toml").exists():
                time.sleep(0.01)
            second = self.batch("--row", 1, "--quiet")
            run.communicate(timeout=120)
        self.assertEqual(run.returncode, 0)
        self.assertIn(second.returncode, (0, 1))  # waited for it, or said why not
        if second.returncode == 1:
            self.assertIn("another call is at work on it", second.stderr)
        self.assertEqual(self.batch("--collect").returncode, 0)


if __name__ == "__main__":
    main(__doc__)
