#!/usr/bin/python3
# SPDX-License-Identifier: Apache-2.0
"""The program as a person meets it: exit status, stdout, stderr, and what lies on the disk afterwards.

Usage: test_cli.py LIELOW [unittest's own arguments]. Needs Debian's python3-gdal.
"""
import json
import os
import pathlib
import pty
import subprocess

import numpy
from osgeo import gdal, ogr

from cli_case import NIGHT, Cli, main, rolling_ground, write_dem, write_polygon

RASTERS = ["drainage_way.tif", "fill_depth.tif", "fill_stage.tif", "height_above_way.tif", "hollow_depth.tif",
           "wetness_index.tif"]


class Call(Cli):
    def test_help_names_every_command(self):
        result = self.lielow("--help")
        self.assertEqual(result.returncode, 0)
        self.assertEqual(result.stderr, "")
        for word in ("run", "batch", "check", "example", "bench", "--version", "--quiet", "--threads"):
            self.assertIn(word, result.stdout)

    def test_each_command_has_help(self):
        for command, word in (("run", "--only"), ("batch", "--jobs"), ("check", "SITE.toml"), ("example", "DIR"), ("bench", "--large")):
            result = self.lielow(command, "--help")
            self.assertEqual(result.returncode, 0, command)
            self.assertIn(word, result.stdout)

    def test_version_names_the_libraries(self):
        for arguments in (["--version"], ["run", "--version"]):
            result = self.lielow(*arguments)
            self.assertEqual(result.returncode, 0)
            self.assertRegex(result.stdout, r"\Alielow \d+\.\d+\.\d+")
            for library in ("GDAL", "PROJ", "UDUNITS"):
                self.assertRegex(result.stdout, rf"\n  {library} \d+\.")

    def test_wrong_calls(self):
        self.assert_refused(self.lielow(), "name a command", "run")
        self.assert_refused(self.lielow("rnu"), "no command rnu", "nearest is run")
        self.assert_refused(self.lielow("run"), "SITE.toml is required", "lielow run --help")
        self.assert_refused(self.lielow("run", "a.toml", "b.toml"), "b.toml")
        self.assert_refused(self.lielow("run", "a.toml", "--bogus"), "--bogus")
        self.assert_refused(self.lielow("run", "a.toml", "--only", "fire"), "fire")
        self.assert_refused(self.lielow("run", "a.toml", "--threads", "0"), "--threads")
        self.assert_refused(self.lielow("run", "a.toml", "--threads", "many"), "--threads")

    def test_wrong_sites(self):
        self.assert_refused(self.lielow("run", "none.toml"), "no site file none.toml")
        site = self.folder / "farm.toml"
        for text, words in (
            ("[water]\nstage = 20\n", ["farm.toml, line 2, column 9", 'water.stage = 20 has no unit; write "20 ft"']),
            ("[watre]\n", ["unknown section [watre]", "[water]"]),
            ("[ground\n", ["farm.toml, line 1"]),
            ("", ["ground.dem is missing"]),
        ):
            site.write_text(text)
            for command in ("run", "check"):
                self.assert_refused(self.lielow(command, "farm.toml"), *words)
        self.assertEqual([p.name for p in self.folder.iterdir()], ["farm.toml"])


class Example(Cli):
    def test_writes_the_demo_and_does_not_overwrite(self):
        result = self.lielow("example", "new/demo")
        self.assertEqual(result.returncode, 0, result.stderr)
        written = sorted(p.name for p in (self.folder / "new/demo").iterdir())
        for name in ("site.toml", "dem.tif", "fields.gpkg"):
            self.assertIn(name, written)
        (self.folder / "new/demo/site.toml").write_text("mine")
        self.assert_refused(self.lielow("example", "new/demo"), "is already there")
        self.assertEqual((self.folder / "new/demo/site.toml").read_text(), "mine")

    def test_files_are_those_of_the_project(self):
        project = pathlib.Path(__file__).resolve().parents[2] / "demo-dem"
        self.lielow("example", "demo")
        expected = {p.name: p.read_bytes() for p in project.iterdir() if p.is_file()}
        self.assertEqual({p.name: p.read_bytes() for p in (self.folder / "demo").iterdir()}, expected)

    def test_place_taken_by_a_file(self):
        (self.folder / "demo").write_text("a file")
        self.assert_refused(self.lielow("example", "demo"), "demo")


class Check(Cli):
    def test_lists_what_is_in_force_and_where_from(self):
        self.write_site('[water]\nstage = "10 ft"\n')
        result = self.lielow("check", "farm.toml")
        self.assertEqual(result.returncode, 0, result.stderr)
        self.assertRegex(result.stdout, r"(?m)^water\.stage +10 ft +site file$")
        self.assertRegex(result.stdout, r"(?m)^night\.mixing +0\.04 m2/s +default$")
        self.assertRegex(result.stdout, r"(?m)^ground\.vertical_unit +m +DEM \(.+\)$")
        self.assertRegex(result.stdout, r"(?m)^ground\.crs +NAD83 / UTM zone 17N +DEM$")
        self.assertIn("water: ready to run", result.stdout)
        self.assertIn("night: farm.toml: night.date is missing", result.stdout)
        self.assertEqual(sorted(p.name for p in self.folder.iterdir()), ["dem.tif", "farm.toml"])

    def test_explains_every_key(self):
        self.write_site()
        result = self.lielow("check", "farm.toml", "--explain", "--quiet")
        self.assertEqual(result.returncode, 0, result.stderr)
        self.assertRegex(result.stdout, r"(?m)^night\.cloud = 0 \(default\)\n    share of the sky .+\n    from 0 to 1$")
        self.assertIn('default "0.04 m2/s": order of magnitude of clear calm nights', result.stdout)


class Bench(Cli):
    """That it measures and reports; not how fast anything is."""

    def test_table_has_every_case(self):
        result = self.lielow("bench", "--quick", "--quiet", "--threads", 2)
        self.assertEqual((result.returncode, result.stderr), (0, ""))
        self.assertIn("QUICK", result.stdout)
        for order in ("first", "second"):
            for cells in (50, 100):
                for sheets in (1, 4, 8, 12):
                    self.assertRegex(result.stdout,
                                     rf"(?m)^{order}, single +{cells} x {cells} +{sheets} .+ %  +\d+\.\d\d$")
        self.assertRegex(result.stdout, r"(?m)^2 threads +\d+\.\d +\d+\.\d$")
        self.assertRegex(result.stdout, r"(?m)^Rolling farm land of 40000 cells")
        self.assertNotIn("double", result.stdout)

    def test_json_agrees_with_itself(self):
        result = self.lielow("bench", "--quick", "--json", "--double", "--threads", 2)
        self.assertEqual(result.returncode, 0, result.stderr)
        report = json.loads(result.stdout)
        self.assertEqual([run["threads"] for run in report["memory"]["runs"]], [1, 2])
        words = {(r["order"], r["precision"], r["side_cells"], r["sheets"]): r["bytes_per_cell_sheet_step"]
                 for r in report["stack"]}
        self.assertEqual(len(words), 2 * 2 * 2 * 4)
        for row in report["stack"]:
            self.assertEqual(row["present_share"], 1)
            for run, memory in zip(row["runs"], report["memory"]["runs"], strict=True):
                self.assertGreater(run["cell_sheet_steps_per_s"], 0)
                limit = memory["bytes_per_s"] / row["bytes_per_cell_sheet_step"]
                self.assertAlmostEqual(run["memory_limit_per_s"] / limit, 1)
                self.assertAlmostEqual(run["limit_share"] * limit / run["cell_sheet_steps_per_s"], 1)
        # As sim/stack_traffic.hpp counts: 21 or 50 words and a share of 4 planes.
        self.assertEqual(words["first", "single", 50, 4], 4 * (21 + 4 / 4))
        self.assertEqual(words["second", "double", 100, 8], 8 * (50 + 4 / 8))
        self.assertEqual(report["flood"]["cells"], 40000)

    def test_one_thread_has_no_scaling(self):
        result = self.lielow("bench", "--quick", "--quiet", "--threads", 1)
        self.assertEqual(result.returncode, 0, result.stderr)
        self.assertNotIn("scaling", result.stdout)
        self.assertNotIn("2 threads", result.stdout)

    def test_quick_and_large_exclude_each_other(self):
        self.assert_refused(self.lielow("bench", "--quick", "--large"), "--quick", "--large")


class Run(Cli):
    def test_writes_everything_and_a_table(self):
        self.write_site()
        result = self.run_water("--out", "results")
        self.assertEqual(result.returncode, 0, result.stderr)
        out = self.folder / "results"
        self.assertEqual(sorted(p.name for p in out.iterdir()), ["rasters", "report.html", "sites.gpkg", "summary.json"])
        self.assertEqual(sorted(p.name for p in (out / "rasters").glob("*.tif")), RASTERS)
        self.assertIn("acres", result.stdout)
        self.assertIn("not a forecast", result.stdout)
        self.assertIn("fill stage ...", result.stderr)

    def test_night_is_told_in_words(self):
        self.write_site(NIGHT)
        result = self.lielow("run", "farm.toml", "--only", "night", "--out", "results", "--threads", 1)
        self.assertEqual(result.returncode, 0, result.stderr)
        self.assertRegex(result.stdout, r"The night of 2026-04-18: sunset 19:\d\d, sunrise 05:\d\d \(UTC-5 h, ")
        self.assertRegex(result.stdout, r"Reference spot \(ref\.\): highest ground, .+; its lowest is [\d.]+ °F\.")
        self.assertIn("the night is solved on 6 x 8 cells of 20 m x 20 m", result.stdout)
        sites = ogr.Open(str(self.folder / "results/sites.gpkg"))  # a layer lives no longer than its file
        spot = sites.GetLayerByName("reference_spot").GetNextFeature()
        z = rolling_ground(60, 80)
        self.assertAlmostEqual(spot["elevation_m"], float(z.max()), places=3)
        row, col = numpy.unravel_index(z.argmax(), z.shape)
        self.assertEqual((spot.geometry().GetX(), spot.geometry().GetY()), (500001 + 2 * col, 4399999 - 2 * row))
        offset = gdal.Open(str(self.folder / "results/rasters/night_offset.tif")).ReadAsArray()
        self.assertEqual(offset[row, col], 0)

    def test_where_the_loss_comes_from(self):
        hours = "".join(f"2026-04-{18 + h // 24}T{h % 24:02}:00,{48 - h / 2},30\n" for h in range(18, 32))
        (self.folder / "s.csv").write_text("time,air [degF],dew point [degF]\n" + hours)
        for line, source, mean in (("", "default constant", (14.9, 15.1)),
                                   ('heat_loss = "10 W/m2"\ndew_point = "30 degF"', "night.heat_loss", (9.9, 10.1)),
                                   ('dew_point = "30 degF"', "radiation, night.dew_point", (12, 25)),
                                   ('weather = "s.csv"', "radiation, night.weather", (8, 25))):
            self.write_site(NIGHT + line + "\n")
            result = self.lielow("run", "farm.toml", "--only", "night", "--out", "results", "--quiet")
            self.assertEqual(result.returncode, 0, result.stderr)
            summary = json.loads((self.folder / "results/summary.json").read_text())
            night = summary["parts"]["night"]
            self.assertIn(source, night["loss_from"])
            self.assertTrue(mean[0] < night["mean_loss_w_m2"] < mean[1], night["mean_loss_w_m2"])
            for key in ("sky_view_mean_share", "air_share", "loss_rule"):
                self.assertEqual(key in night, "radiation" in source, key)
            self.assertEqual("weather_records" in night, "weather" in source)
            self.assertEqual("clear_sky_loss_w_m2" in night, "radiation" not in source)
            self.assertIn(source, self.lielow("check", "farm.toml").stdout)
            notes = " ".join(summary["notes"])
            self.assertEqual("night.dew_point isn't used" in notes, "heat_loss" in source)
            self.assertEqual("s.csv has no cloud" in notes, "weather" in source)

    def test_where_the_wind_comes_from(self):
        head = "time,air [degF],dew point [degF],wind speed [mph],wind direction [deg]\n"
        hours = "".join(f"2026-04-{18 + h // 24}T{h % 24:02}:00,48,30,{max(0, h - 25)},300\n" for h in range(18, 32))
        (self.folder / "s.csv").write_text(head + hours)
        for lines, source, greatest in (("", "calm", 0),
                                        ('wind = "2 m/s"\nwind_direction = "300 deg"', "night.wind", 2),
                                        ('wind = "2 m/s"\nweather = "s.csv"', "night.weather", 5 * 0.44704)):
            self.write_site(NIGHT + lines + "\n")
            result = self.lielow("run", "farm.toml", "--only", "night", "--out", "results", "--quiet")
            self.assertEqual(result.returncode, 0, result.stderr)
            self.assertIn(f"Wind: {source}", result.stdout)
            self.assertIn(f"Wind: {source}", self.lielow("check", "farm.toml").stdout)
            summary = json.loads((self.folder / "results/summary.json").read_text())
            night = summary["parts"]["night"]
            self.assertTrue(night["wind_from"].startswith(source))
            self.assertAlmostEqual(night["wind_greatest_m_s"], greatest, places=6)
            self.assertEqual(night.get("heat_from_aloft_k_m3", 0) > 0, greatest > 0)
            self.assertLess(abs(night["heat_residual_share"]), 1e-5)
            self.assertEqual("night.wind isn't used" in " ".join(summary["notes"]), "weather" in source)

    def test_quiet_and_default_folder(self):
        self.write_site()
        result = self.run_water("--quiet")
        self.assertEqual((result.returncode, result.stderr), (0, ""))
        self.assertTrue((self.folder / "out/farm/summary.json").exists())

    def test_summary_agrees_with_the_rasters(self):
        self.write_site('[water]\nstage = "3 m"\n')
        self.run_water("--out", "results")
        summary = json.loads((self.folder / "results/summary.json").read_text())
        self.assertEqual(summary["site_file"], "farm.toml")
        self.assertEqual(summary["parts"]["water"]["stage_m"], 3.0)
        self.assertEqual(summary["settings"]["water.stage"], {"value": "3 m", "from": "site file"})
        self.assertEqual(summary["inputs"][0]["size_bytes"], (self.folder / "dem.tif").stat().st_size)
        self.assertNotIn(str(self.folder), json.dumps(summary))
        depth = gdal.Open(str(self.folder / "results/rasters/fill_depth.tif")).ReadAsArray()
        stage = gdal.Open(str(self.folder / "results/rasters/fill_stage.tif")).ReadAsArray()
        numpy.testing.assert_array_equal(depth > 0, stage < numpy.float32(3))
        [field] = summary["fields"]
        self.assertAlmostEqual(field["under_water_m2"], (depth > 0).sum() * 4.0, delta=1e-6 * field["area_m2"])
        self.assertAlmostEqual(field["rasters"]["fill_depth"]["greatest"], depth.max(), places=5)
        z = rolling_ground(60, 80)
        self.assertAlmostEqual(field["low_point_m"], float(z.min()), places=4)

    def test_storm_and_ways(self):
        self.write_site('[water]\nstorm = "2 in"\nstorms = "0 in, 2 in, 40 in"\n'
                        'ponded_from = "0 in"\nway_area = "0.1 acre"\n')
        result = self.run_water("--out", "results")
        self.assertEqual(result.returncode, 0, result.stderr)
        out = self.folder / "results"
        summary = json.loads((out / "summary.json").read_text())
        depth = gdal.Open(str(out / "rasters/storm_depth.tif")).ReadAsArray()
        dry, storm, flood = summary["storms"]
        self.assertEqual((dry["ponded_m3"], dry["ponded_m2"], dry["left_ground_m3"]), (0, 0, 0))
        self.assertAlmostEqual(storm["ponded_m3"], depth.sum() * 4, delta=1e-5 * storm["ponded_m3"] + 1e-9)
        self.assertAlmostEqual(storm["ponded_m2"], (depth > 0).sum() * 4)
        self.assertAlmostEqual(storm["fields"][0]["ponded_m2"], (depth > 0).sum() * 4, delta=1e-3)
        fallen = depth.size * 4 * 0.0254
        for record in summary["storms"]:  # what falls stands or leaves
            self.assertAlmostEqual(record["ponded_m3"] + record["left_ground_m3"], fallen * record["rain_m"] / 0.0254,
                                   delta=1e-6 * fallen * 40)
        hollow = gdal.Open(str(out / "rasters/hollow_depth.tif")).ReadAsArray()
        self.assertAlmostEqual(flood["ponded_m3"], hollow.sum() * 4, delta=1e-5 * flood["ponded_m3"] + 1e-9)
        self.assertIsNone(storm["ponded_error_m3"])
        upslope = gdal.Open(str(out / "rasters/drainage_way.tif")).ReadAsArray()
        self.assertGreaterEqual(upslope.min(), 4)
        sites = ogr.Open(str(out / "sites.gpkg"))
        ways = sites.GetLayerByName("drainage_ways")
        self.assertGreater(ways.GetFeatureCount(), 0)
        for way in ways:
            self.assertGreaterEqual(way["upslope_acres"], 0.0999)
            self.assertEqual(way.geometry().GetGeometryName(), "LINESTRING")
        self.assertEqual(sites.GetLayerByName("field_sources").GetFeatureCount(), 1)

    def test_changes_to_the_ground_hold_and_free_water(self):
        self.write_site('[water]\nstorm = "2 in"\nchanges = "c.gpkg"\n')
        z = rolling_ground(60, 80)
        z[:] = 110 - 0.1 * numpy.arange(80, dtype="float32")  # falls east, 2 m a cell
        write_dem(self.folder / "dem.tif", z)
        bank = "LINESTRING(500101 4400001,500101 4399879)"  # north to south over all rows, through column 50
        write_polygon(self.folder / "c.gpkg", bank, kind="bank", height="3 ft", name="dam")
        self.assertEqual(self.run_water("--out", "results").returncode, 0)
        water = json.loads((self.folder / "results/summary.json").read_text())["parts"]["water"]
        self.assertEqual((water["changes"], water["storm_ponded_without_changes_m3"]), (1, 0))
        # Water runs off sideways at the ground's edge, north and south of the wedge: the rim drains.
        self.assertEqual(water["storm_ponded_m3"], 0)
        ring = "LINESTRING(500081 4399961,500121 4399961,500121 4399921,500081 4399921,500081 4399961)"
        (self.folder / "c.gpkg").unlink()
        write_polygon(self.folder / "c.gpkg", ring, kind="bank", height="20 ft", name="ring")
        self.assertEqual(self.run_water("--out", "results").returncode, 0)
        water = json.loads((self.folder / "results/summary.json").read_text())["parts"]["water"]
        # 19 x 19 cells inside, and what falls on the ring's inner slope: 21 x 21 with all of it.
        least, most = (n * n * 4 * 0.0508 for n in (19, 21))
        self.assertTrue(least < water["storm_ponded_m3"] < most, water)
        depth = gdal.Open(str(self.folder / "results/rasters/storm_depth.tif")).ReadAsArray()
        self.assertEqual((depth[:19] > 0).sum() + (depth[41:] > 0).sum(), 0)
        # The same bank among the obstacles holds the same water.
        (self.folder / "c.gpkg").rename(self.folder / "obstacles.gpkg")
        text = (self.folder / "farm.toml").read_text().replace('changes = "c.gpkg"\n', "")
        (self.folder / "farm.toml").write_text(text.replace("[ground]\n", '[ground]\nobstacles = "obstacles.gpkg"\n'))
        self.assertEqual(self.run_water("--out", "results").returncode, 0)
        by_obstacle = json.loads((self.folder / "results/summary.json").read_text())["parts"]["water"]
        self.assertEqual(by_obstacle["changes"], 1)
        self.assertAlmostEqual(by_obstacle["storm_ponded_m3"], water["storm_ponded_m3"], delta=1e-9)

    def test_holes_stay_holes(self):
        self.write_site()
        z = rolling_ground(60, 80)
        z[20:23, 30:33] = numpy.nan
        write_dem(self.folder / "dem.tif", z)
        result = self.run_water("--out", "results")
        self.assertEqual(result.returncode, 0, result.stderr)
        for name in RASTERS:
            values = gdal.Open(str(self.folder / "results/rasters" / name)).ReadAsArray()
            if name == "height_above_way.tif":  # nor where water leaves the ground before it reaches a way
                self.assertTrue((values == -9999)[numpy.isnan(z)].all())
            else:
                numpy.testing.assert_array_equal(values == -9999, numpy.isnan(z))

    def test_threads_do_not_change_results(self):
        self.write_site()
        for threads in (1, 2):
            self.run_water("--threads", threads, "--out", f"results{threads}")
        for name in ["sites.gpkg"] + [f"rasters/{n}" for n in RASTERS]:
            first, second = ((self.folder / f"results{t}" / name).read_bytes() for t in (1, 2))
            self.assertEqual(first, second, name)

    def test_german_locale(self):
        self.write_site('[water]\nstage = "8.5 ft"\n')
        locales = self.folder / "locales"
        locales.mkdir()
        made = subprocess.run(["localedef", "-i", "de_DE", "-f", "UTF-8", locales / "de_DE.UTF-8"], capture_output=True)
        if made.returncode != 0:
            self.skipTest("localedef can't make a German locale here")
        plain = self.run_water("--out", "results")
        german = self.run_water("--out", "results", env={**os.environ, "LOCPATH": str(locales), "LC_ALL": "de_DE.UTF-8"})
        self.assertEqual(plain.returncode, 0, plain.stderr)
        self.assertEqual(german.stdout, plain.stdout)
        self.assertIn("8.5 ft", german.stdout)

    def test_bar_on_a_terminal(self):
        self.write_site()
        ours, theirs = pty.openpty()
        process = subprocess.Popen([self.program, "run", "farm.toml", "--only", "water"], cwd=self.folder, stderr=theirs,
                                   stdout=subprocess.DEVNULL, env={**os.environ, "TERM": "xterm"})
        os.close(theirs)
        seen = b""
        while True:
            try:
                part = os.read(ours, 4096)
            except OSError:  # Linux's end of file on a terminal whose other side is closed
                break
            if not part:
                break
            seen += part
        os.close(ours)
        self.assertEqual(process.wait(timeout=120), 0)
        self.assertIn(b"\rfill stage", seen)
        self.assertIn(b"%", seen)



if __name__ == "__main__":
    main(__doc__)
