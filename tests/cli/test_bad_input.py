#!/usr/bin/python3
# SPDX-License-Identifier: Apache-2.0
"""Bad input, full disks and Ctrl-C: one clear line, the right exit status, nothing half-written.

Usage: test_bad_input.py LIELOW [unittest's own arguments]. Needs Debian's python3-gdal.
"""
import re
import signal
import subprocess
import time

from cli_case import NIGHT, Cli, main, rolling_ground, write_dem, write_polygon

FIELD = "POLYGON((500020 4399900,500120 4399900,500120 4399980,500020 4399980,500020 4399900))"


class BadInput(Cli):
    """What is refused by `run` before it works, and by `check` in the same words."""

    def assert_both_refuse(self, *words, commands=("check", "run")):
        before = sorted(self.folder.rglob("*"))
        for command in commands:
            self.assert_refused(self.lielow(command, "farm.toml", "--quiet"), *words)
        self.assertEqual(sorted(self.folder.rglob("*")), before)

    def test_dem(self):
        self.write_site(NIGHT)
        dem = self.folder / "dem.tif"
        whole = dem.read_bytes()
        for content, words in ((whole[:len(whole) // 2], ["dem.tif", "cut off"]), (b"hello", ["dem.tif", "raster"])):
            dem.write_bytes(content)
            self.assert_both_refuse(*words)
        dem.unlink()
        self.assert_both_refuse("dem.tif: no such file")

    def test_row_of_cells(self):
        self.write_site(NIGHT, rows=1)
        self.assert_both_refuse("1 rows of 80 cells")

    def test_values_of_the_site_file(self):
        for line, words in (('heat_loss = "15 ft"', ["night.heat_loss", "W/m2"]),
                            ('heat_loss = 15', ["night.heat_loss = 15 has no unit"]),
                            ('heat_los = "15 W/m2"', ["night.heat_los", "night.heat_loss"]),
                            ('cloud = "clear"', ["night.cloud is a text"]),
                            ('cloud = 2', ["night.cloud = 2 is out of range"])):
            self.write_site(NIGHT + line + "\n")
            self.assert_both_refuse("farm.toml, line 7", *words)

    def test_fields(self):
        self.write_site()
        (self.folder / "farm.toml").write_text('[ground]\ndem = "dem.tif"\nfields = "f.gpkg"\n' + NIGHT)
        self.assert_both_refuse("f.gpkg: no such file")
        crossing = "POLYGON((500020 4399900,500120 4399980,500120 4399900,500020 4399980,500020 4399900))"
        for wkt, words in ((crossing, ["crosses itself near 500070"]),
                           (FIELD.replace("5000", "6000").replace("5001", "6001"), ["lies outside the DEM"])):
            write_polygon(self.folder / "f.gpkg", wkt, name="A")
            self.assert_both_refuse("f.gpkg", *words)
            (self.folder / "f.gpkg").unlink()

    def test_belts(self):
        self.write_site()
        (self.folder / "farm.toml").write_text('[ground]\ndem = "dem.tif"\nbelts = "b.gpkg"\n' + NIGHT)
        self.assert_both_refuse("b.gpkg: no such file")
        for attributes, words in (({"openness": 0.4}, ["has no height"]),
                                  ({"height": "40 ft"}, ["has no openness"]),
                                  ({"height": "40 ft", "openness": 3.0}, ["openness is 3"]),
                                  ({"height": "40", "openness": 0.4}, ["has no unit"]),
                                  ({"height": "40 degF", "openness": 0.4}, ["is not a length"])):
            write_polygon(self.folder / "b.gpkg", FIELD, name="B", **attributes)
            self.assert_both_refuse("b.gpkg: belt \"B\"", *words)
            (self.folder / "b.gpkg").unlink()

    def test_obstacles(self):
        self.write_site()
        (self.folder / "farm.toml").write_text('[ground]\ndem = "dem.tif"\nobstacles = "o.gpkg"\n' + NIGHT)
        self.assert_both_refuse("o.gpkg: no such file")
        for attributes, words in (({"openness": 0.4}, ["attribute kind"]),
                                  ({"kind": "hege"}, ["unknown kind", "hedge"]),
                                  ({"kind": "hedge", "openness": 0.4}, ["has no height"]),
                                  ({"kind": "hedge", "height": "8 ft", "openness": 40.0}, ["openness is 40"]),
                                  ({"kind": "fan"}, ["is an outline"])):
            write_polygon(self.folder / "o.gpkg", FIELD, name="H", **attributes)
            self.assert_both_refuse("o.gpkg", *words)
            (self.folder / "o.gpkg").unlink()

    def test_cover(self):
        self.write_site()
        (self.folder / "farm.toml").write_text('[ground]\ndem = "dem.tif"\ncover = "c.gpkg"\n' + NIGHT)
        self.assert_both_refuse("c.gpkg: no such file")
        write_polygon(self.folder / "c.gpkg", FIELD, cover="mud")
        self.assert_both_refuse("c.gpkg: \"mud\" is no class")

    def test_storms(self):
        for line, words in (('storm = "-1 in"', ["water.storm = -1 in is out of range", "from 0 in to 40 in"]),
                            ('storm = "41 in"', ["water.storm = 41 in is out of range"]),
                            ('storm = "nan in"', ["water.storm"]),
                            ('storms = "1 in, -2 in"', ["water.storms: -2 in is out of range"]),
                            ('storms = "1 in, 2"', ["water.storms", "no unit"]),
                            ('storms = "1 in,"', ["water.storms"]),
                            ('storms = "' + "1 in, " * 20 + '2 in"', ["water.storms has 21 storms"]),
                            ('runoff_share = 0.0', ["water.runoff_share", "from 0.01 to 1"]),
                            ('way_area = "0 acre"', ["water.way_area"]),
                            ('soil_conductivity = "-1 cm/h"', ["water.soil_conductivity", "negative"]),
                            ('soil_conductivity = "9 m/s"', ["water.soil_conductivity", "was it in cm/h"]),
                            ('curve_number = 0', ["water.curve_number", "from 1 to 100"]),
                            ('soil_texture = "lome"', ["water.soil_texture", "loam"]),
                            ('storm_duration = "1 ft"', ["water.storm_duration"])):
            self.write_site("[water]\n" + line + "\n")
            self.assert_both_refuse("farm.toml, line 4", *words)

    def test_running_storm(self):
        for lines, words in (('storm_shape = "type II"', ["water.storm_shape needs water.storm"]),
                             ('storm = "0 in"\nstorm_shape = "even"', ["water.storm: the storm brings no rain"]),
                             ('storm = "3 in"\nstorm_shape = "type I"\nstorm_duration = "6 h"',
                              ["the NRCS rain shapes are of 24 hours"]),
                             ('storm = "3 in"\nstorm_shape = "even"\ncurve_number = 70\nsoil_texture = "loam"',
                              ["exclude each other"]),
                             ('storm_table = "none.csv"', ["there is no table none.csv"])):
            self.write_site(NIGHT + "[water]\n" + lines + "\n")
            self.assert_both_refuse(*words)

    def test_changes_to_the_ground(self):
        self.write_site(NIGHT + '[water]\nchanges = "c.gpkg"\n')
        self.assert_both_refuse("c.gpkg: no such file")
        line = "LINESTRING(500020 4399900,500120 4399980)"
        for wkt, attributes, words in ((line, {"kind": "moat"}, ['kind is "moat"']),
                                       (line, {"kind": "bank"}, ["has no height"]),
                                       (line, {"kind": "bank", "height": "-2 ft"}, ["can't be"]),
                                       (line, {"kind": "ditch"}, ["has no depth"]),
                                       (line, {"kind": "ditch", "depth": "2"}, ["no unit"]),
                                       (FIELD, {"kind": "ditch", "depth": "2 ft"}, ["must be a line"]),
                                       (line.replace("4399980", "4400980"), {"kind": "tile"}, ["outside the ground"])):
            write_polygon(self.folder / "c.gpkg", wkt, name="L", **attributes)
            self.assert_both_refuse('c.gpkg: "L"', *words)
            (self.folder / "c.gpkg").unlink()

    def test_soil(self):
        for line, words in (('conductivity = "-1 in/h"', ["soil.conductivity", "can't be a soil's"]),
                            ('conductivity = "25 m/s"', ["was 25 mm/h", "meant?"]),
                            ('conductivity = "1e-12 m/s"', ["divided twice"]),
                            ('conductivity = "1 in"', ["soil.conductivity", "in"]),
                            ('drainable_porosity = 6', ["6 percent is 0.06"]),
                            ('floor_depth = "0 ft"', ["soil.floor_depth", "from 4 in to 100 ft"])):
            self.write_site("[soil]\n" + line + "\n")
            self.assert_both_refuse("farm.toml, line 4", *words)
        for line, words in (('evaporation = "-1 mm/day"', ["drain.evaporation", "from 0 mm/day"]),
                            ('recharge = "-1 mm/day"', ["drain.recharge", "from 0 mm/day"]),
                            ('table_depth = "-1 ft"', ["drain.table_depth", "from 0 ft"]),
                            ('spacing = "0 ft"', ["drain.spacing", "from 5 ft"]),
                            ('days = 3', ["drain.days", "from 7 to 60"])):
            self.write_site("[drain]\n" + line + "\n")
            self.assert_both_refuse("farm.toml, line 4", *words)

    def test_soil_maps_and_drains(self):
        soil = NIGHT + '[soil]\nconductivity = "1 in/h"\n'
        for text, words in (('conductivity_map = "m.tif"\n', ["m.tif: no such file (the map of the conductivity)"]),
                            ('floor_depth_map = "m.tif"\n', ["m.tif: no such file", "restrictive layer"]),
                            ('[drain]\ntable_depth_map = "m.tif"\n', ["m.tif: no such file", "water table"]),
                            ('[drain]\nlines = "m.gpkg"\n', ["m.gpkg: no such file"])):
            self.write_site(soil + text)
            self.assert_both_refuse(*words)
        self.write_site(NIGHT + '[soil]\nconductivity_map = "m.tif"\n')
        m = self.folder / "m.tif"
        write_dem(m, rolling_ground(60, 80))  # metres are no conductivity
        self.assert_both_refuse("m.tif: unit of the conductivity")
        write_dem(m, rolling_ground(60, 80), unit="mm/s")  # 100 mm/s
        self.assert_both_refuse("farm.toml: soil.conductivity", "can't be a soil's")
        write_dem(m, 0 * rolling_ground(60, 40) + 5, unit="um/s")  # the west half alone
        self.assert_both_refuse("farm.toml: soil.conductivity: the map leaves ground without a value")
        m.unlink()
        self.write_site(soil + '[drain]\nlines = "d.gpkg"\n')
        line = "LINESTRING(500020 4399900,500120 4399980)"
        for attributes, words in (({}, ["has no depth"]), ({"depth": "3"}, ["no unit"]),
                                  ({"depth": "-3 ft"}, ["can't be"]),
                                  ({"depth": "3 ft", "kind": "moat"}, ['unknown kind "moat"; write pipe or ditch'])):
            write_polygon(self.folder / "d.gpkg", line, name="L", **attributes)
            self.assert_both_refuse('d.gpkg: drain "L"', *words)
            (self.folder / "d.gpkg").unlink()

    def test_too_little_memory(self):
        """80 MB and 100 bytes a cell: a run that can't fit says so before it starts."""
        self.write_site(NIGHT)
        for memory, words in (("50 MB", ["dem.tif", "takes about 0.08 GB of memory and there are 0.05 GB", "lielow wide"]),
                              ("much", ['--memory "much" is no amount of memory'])):
            self.assert_refused(self.lielow("run", "farm.toml", "--out", "out", "--quiet", "--memory", memory), *words)
        self.assertFalse((self.folder / "out").exists())

    def test_night(self):
        for line, words in (('reference = "Bee"', ["night.reference", "Bee"]),
                            ('reference = "1, 2"', ["night.reference", "no ground at 1, 2"])):
            self.write_site(NIGHT + line + "\n")
            self.assert_both_refuse("farm.toml", *words)
        for line, words in (('heat_loss = "0 W/m2"', ["heat"]), ('sheet_step = "0.05 K"', ["night.sheet_step"])):
            self.write_site(NIGHT + line + "\n")
            self.assert_both_refuse("farm.toml: ", *words, commands=["run"])

    def test_weather_and_dew_point(self):
        self.write_site(NIGHT + 'dew_point = "55 degF"\n')
        self.assert_both_refuse("farm.toml: night.dew_point is above night.evening_air")
        self.write_site(NIGHT + 'weather = "s.csv"\n')
        self.assert_both_refuse("s.csv: no such file")
        head = "time,air [degF],dew point [degF]\n"
        for text, words in ((head + "2026-04-18T19:00,40,45\n", ["record 1", "dew point 45 degF is above"]),
                            (head + "2026-04-18T19:00,40,30\n", ["doesn't cover the night"]),
                            (head + "2026-04-18T19:00,40,30\n2026-04-18T19:00,40,30\n", ["record 2", "leave one"]),
                            (head + "2026-04-18T20:00,40,30\n2026-04-18T19:00,40,30\n", ["record 2", "order of time"]),
                            (head + "2026-04-18T19:00,240,30\n", ["record 1", "air = 240 degF can't be"]),
                            (head.replace("degF", "mph", 1) + "2026-04-18T19:00,40,30\n", ["air", "mph"]),
                            (head + "2026-04-18T18:00,40,30\n2026-04-18T23:00,40,30\n2026-04-19T07:00,40,30\n",
                             ["no record for 5.0 h", "before sunset"]),
                            (head.replace("dew point", "dew"), ["no column \"dew point\""])):
            (self.folder / "s.csv").write_text(text)
            self.assert_both_refuse("s.csv", *words)

    def test_wind(self):
        for line, *words in (('wind = "90 m/s"', "night.wind"), ('wind = "-1 m/s"', "night.wind"), ("wind = 3", "night.wind"),
                             ('wind = "3 m"', "night.wind"), ('wind_direction = "400 deg"', "night.wind_direction"),
                             ('roughness = "3 m"', "night.roughness")):
            self.write_site(NIGHT + line + "\n")
            self.assert_both_refuse("farm.toml", *words)

    def test_how_a_night_is_read(self):
        for line, words in (('hours_below = "28 ft"', ["night.hours_below", "28 ft", "temperature"]),
                            ('flow_hour = "4 am"', ["night.flow_hour", "4 am"])):
            self.write_site(NIGHT + line + "\n")
            self.assert_both_refuse("farm.toml, line 7", *words)
        self.write_site(NIGHT + 'flow_hour = "14:00"\n')
        self.assert_both_refuse("farm.toml: night.flow_hour: 14:00 lies outside the night, which lasts from 19:")

    def test_spots(self):
        for line, words in (('at = "Gate: 1, 2"', ["no ground at spot \"Gate\" (1.00, 2.00"]),
                            ('at = "Gate 1, 2"', ["spots.at", "is no name with a map position"]),
                            ('file = "s.csv"', ["s.csv: no such file (the spots)"])):
            self.write_site(NIGHT + "[spots]\n" + line + "\n")
            self.assert_both_refuse(*words)
        (self.folder / "s.csv").write_text("name,x,y\nGate,500050,4399950\n")
        self.write_site(NIGHT + '[spots]\nfile = "s.csv"\nat = "Gate: 500060, 4399950"\n')
        self.assert_both_refuse('s.csv: two spots are named "Gate"')
        self.write_site(NIGHT + '[spots]\nfile = "s.csv"\n')
        (self.folder / "s.csv").write_text("name,lon,lat\nGate,-100,39.7\n")
        self.assert_both_refuse('s.csv: the DEM has no ground at spot "Gate"')

    def test_polar_day(self):
        self.write_site(NIGHT.replace("2026-04-18", "2026-06-21"))
        write_dem(self.folder / "dem.tif", rolling_ground(60, 80), north=8600000)
        self.assert_both_refuse("night.date: at latitude 77")


class Trouble(Cli):
    """On the way: no place to write, or the person stops the run."""

    def test_output_folder_that_can_not_be(self):
        self.write_site()
        (self.folder / "taken").write_text("a file")
        result = self.run_water("--quiet", "--out", "taken/results")
        self.assert_refused(result, "taken")

    def test_stop_in_the_middle_leaves_nothing(self):
        self.write_site(rows=2500, cols=2500)
        for number in (signal.SIGINT, signal.SIGTERM):
            process = subprocess.Popen([self.program, "run", "farm.toml", "--only", "water", "--out", "results"],
                                       cwd=self.folder, stderr=subprocess.PIPE, stdout=subprocess.PIPE, text=True)
            while "catchments ..." not in process.stderr.readline():
                self.assertIsNone(process.poll())
            process.send_signal(number)
            stdout, stderr = process.communicate(timeout=120)
            self.assertEqual(process.returncode, 1, stderr)
            self.assertEqual(stdout, "")
            self.assertRegex(stderr, r"lielow: stopped on request[^\n]*\n\Z")
            self.assertEqual(sorted(p.name for p in self.folder.rglob("*")), ["dem.tif", "farm.toml"])

    def test_stop_in_the_night_leaves_older_results(self):
        self.write_site(NIGHT.replace("20 m", "2 m"), rows=200, cols=200)
        (self.folder / "results").mkdir()
        (self.folder / "results/summary.json").write_text("older")
        process = subprocess.Popen([self.program, "run", "farm.toml", "--out", "results", "--threads", "1"], cwd=self.folder,
                                   stderr=subprocess.PIPE, stdout=subprocess.PIPE, text=True)
        while "night ..." not in process.stderr.readline():
            self.assertIsNone(process.poll())
        time.sleep(0.5)
        process.send_signal(signal.SIGINT)
        stdout, stderr = process.communicate(timeout=120)
        self.assertEqual((process.returncode, stdout), (1, ""))
        self.assertRegex(stderr, r"lielow: stopped on request[^\n]*\n\Z")
        self.assertEqual([p.name for p in (self.folder / "results").rglob("*")], ["summary.json"])

    def test_read_only_disk(self):
        self.write_site()
        disk = self.folder / "disk"
        disk.mkdir()
        mounted = subprocess.run(["mount", "-t", "tmpfs", "-o", "ro", "tmpfs", disk], capture_output=True)
        if mounted.returncode != 0:
            self.skipTest("no right to mount a read-only tmpfs here")
        self.addCleanup(subprocess.run, ["umount", disk], check=True)
        self.assert_refused(self.run_water("--quiet", "--out", "disk/results"), "disk/results", "--out")

    def test_full_disk_leaves_older_results(self):
        self.write_site(rows=400, cols=400)
        small = self.folder / "small"
        small.mkdir()
        mounted = subprocess.run(["mount", "-t", "tmpfs", "-o", "size=300k", "tmpfs", small], capture_output=True)
        if mounted.returncode != 0:
            self.skipTest("no right to mount a small tmpfs here")
        self.addCleanup(subprocess.run, ["umount", small], check=True)
        (small / "results").mkdir()
        (small / "results/summary.json").write_text("older")
        result = self.run_water("--quiet", "--out", "small/results")
        self.assert_refused(result, status=1)
        self.assertRegex(result.stderr, re.compile("full|space", re.I))
        self.assertEqual([p.name for p in (small / "results").rglob("*")], ["summary.json"])
        self.assertEqual((small / "results/summary.json").read_text(), "older")

    def test_full_standard_output(self):
        self.write_site()
        with open("/dev/full", "w") as full:
            result = subprocess.run([self.program, "run", "farm.toml", "--only", "water", "--quiet"], cwd=self.folder,
                                    stdout=full, stderr=subprocess.PIPE, text=True)
        self.assertEqual(result.returncode, 1)
        self.assertRegex(result.stderr, r"\Alielow: [^\n]+\n\Z")


if __name__ == "__main__":
    main(__doc__)
