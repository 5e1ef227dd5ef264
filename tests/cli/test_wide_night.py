#!/usr/bin/python3
# SPDX-License-Identifier: Apache-2.0
"""`lielow wide --night`: the night of a DEM that isn't held is that of `lielow run`, and what is refused.

Usage: test_wide_night.py LIELOW [unittest's own arguments]. Needs Debian's python3-gdal.
"""
import os
import resource
import signal
import subprocess
import time

import numpy
from osgeo import gdal

from cli_case import NIGHT, Cli, main, rolling_ground, write_dem

NIGHTS = ("night_low", "night_offset")
# So far north a midsummer's night is short.
FAR_NORTH = 7280000
SHORT = '[night]\ndate = 2026-06-21\nevening_air = "48 degF"\n'


class WideNight(Cli):
    def site(self, text, name="farm.toml"):
        (self.folder / name).write_text(text)

    def raster(self, path):
        return gdal.Open(str(self.folder / path))

    def run_whole(self):
        """The rasters of `lielow run`."""
        answer = self.lielow("run", "farm.toml", "--only", "night", "--out", "whole", "--quiet")
        self.assertEqual(answer.returncode, 0, answer.stderr)
        return {name: self.raster(f"whole/rasters/{name}.tif") for name in NIGHTS}

    def run_wide(self, *more):
        answer = self.lielow("wide", "dem.tif", "--night", "farm.toml", "--only", ",".join(NIGHTS), "--out", "wide",
                             "--quiet", *more)
        self.assertEqual(answer.returncode, 0, answer.stderr)
        self.assertEqual(sorted(p.name for p in (self.folder / "wide").iterdir()),
                         [f"{name}.tif" for name in NIGHTS])
        return answer, {name: self.raster(f"wide/{name}.tif") for name in NIGHTS}

    def compare(self, whole, wide):
        """Greatest difference of each raster; what they say of themselves is the same."""
        differences = {}
        for name in NIGHTS:
            bands = [of[name].GetRasterBand(1) for of in (whole, wide)]
            self.assertEqual(*(b.GetDescription() for b in bands))
            self.assertEqual(*(b.GetUnitType() for b in bands))
            self.assertEqual(*(b.GetMetadata()["long_name"] for b in bands))
            self.assertEqual(*(of[name].GetGeoTransform() for of in (whole, wide)))
            self.assertEqual(*(b.GetOverviewCount() for b in bands))
            a, b = (band.ReadAsArray() for band in bands)
            self.assertTrue(numpy.array_equal(a == -9999, b == -9999), name)
            differences[name] = float(numpy.abs(a - b).max())
            self.assertAlmostEqual(float(bands[1].GetMetadata()["STATISTICS_MEAN"]),
                                   float(b[b != -9999].mean(dtype="float64")), places=4)
        return differences

    def test_equals_the_run_of_the_whole_ground(self):
        """The same settings, cells and steps: the same numbers, to the bit. A hole wider than a night's cell."""
        z = rolling_ground(290, 170)
        z[60:100, 80:130] = numpy.nan
        write_dem(self.folder / "dem.tif", z)
        self.site('[ground]\ndem = "dem.tif"\n' + NIGHT)
        answer, wide = self.run_wide()
        self.assertEqual(self.compare(self.run_whole(), wide), {"night_low": 0, "night_offset": 0})
        self.assertIn("on 29 by 17 cells of 20 m by 20 m", answer.stdout)
        self.assertIn("highest ground", answer.stdout)

    def test_sky_over_the_nights_cells_is_nearly_that_over_the_dems(self):
        """The run looks for the horizon on the DEM's cells, `wide` on the night's, ten times as wide."""
        write_dem(self.folder / "dem.tif", rolling_ground(150, 190))
        self.site('[ground]\ndem = "dem.tif"\n' + NIGHT + 'dew_point = "36 degF"\n')
        _, wide = self.run_wide()
        whole = self.run_whole()
        differences = self.compare(whole, wide)
        apart = numpy.abs(whole["night_low"].ReadAsArray() - wide["night_low"].ReadAsArray())
        print(f"apart by at most {differences} K, {numpy.quantile(apart, 0.99):.4f} K in 99 of 100 cells")
        self.assertLess(max(differences.values()), 0.1)
        self.assertLess(numpy.quantile(apart, 0.99), 0.02)
        self.assertGreater(apart.max(), 0)

    def test_reference_spot_by_its_map_position_and_a_wind(self):
        write_dem(self.folder / "dem.tif", rolling_ground(100, 120))
        self.site('[ground]\ndem = "dem.tif"\n' + NIGHT + 'reference = "500101, 4399899"\ndew_point = "36 degF"\nsky_directions = 0\nwind = "2 m/s"\n')
        _, wide = self.run_wide()
        self.assertEqual(self.compare(self.run_whole(), wide), {"night_low": 0, "night_offset": 0})
        self.assertEqual(wide["night_offset"].ReadAsArray()[50, 50], 0)

    def test_what_does_not_count_is_told(self):
        write_dem(self.folder / "dem.tif", rolling_ground(60, 80))
        self.site('[ground]\ndem = "elsewhere.tif"\nfields = "none.gpkg"\nbelts = "none.gpkg"\n' + NIGHT)
        answer, _ = self.run_wide()
        self.assertIn("farm.toml: not used here, where a night knows the DEM alone: ground.fields, ground.belts",
                      answer.stdout)

    def test_only_with_a_night(self):
        write_dem(self.folder / "dem.tif", rolling_ground(60, 80))
        self.site(NIGHT)
        for arguments, rasters in (((), 3), (("--night", "farm.toml"), 5),
                                   (("--night", "farm.toml", "--only", "night_offset"), 1)):
            answer = self.lielow("wide", "dem.tif", *arguments, "--out", "tiles", "--quiet")
            self.assertEqual(answer.returncode, 0, answer.stderr)
            self.assertEqual(len(list((self.folder / "tiles").iterdir())), rasters)
            for path in (self.folder / "tiles").iterdir():
                path.unlink()

    def test_by_windows(self):
        """Too little memory for the night in one piece: other steps, the same night; nothing else is left behind."""
        write_dem(self.folder / "dem.tif", rolling_ground(1200, 80), north=FAR_NORTH)
        self.site('[ground]\ndem = "dem.tif"\n' + SHORT + 'cell = "4 m"\nsheets = 6\n')
        answer, wide = self.run_wide("--memory", "458 MB")
        self.assertRegex(answer.stdout, r"by windows of [1-5]\d\d of its 600 rows")
        whole = self.run_whole()
        differences = self.compare(whole, wide)
        apart = numpy.abs(whole["night_low"].ReadAsArray() - wide["night_low"].ReadAsArray())
        print(f"by windows apart by at most {differences} K, {numpy.quantile(apart, 0.999):.6f} K in 999 of 1000 cells")
        # Where a sheet comes or goes at the ground's edge one cell differs more: measured 0.047 K.
        self.assertLess(max(differences.values()), 0.1)
        self.assertLess(numpy.quantile(apart, 0.999), 0.001)
        self.assertGreater(apart.max(), 0)
        os.environ["OMP_NUM_THREADS"] = "1"
        _, again = self.run_wide("--memory", "457 MB")
        self.assertEqual(self.compare(wide, again), {"night_low": 0, "night_offset": 0})

    def test_memory_is_kept(self):
        """A ground and a night that `lielow run` would hold in some 900 MB."""
        write_dem(self.folder / "dem.tif", rolling_ground(3000, 3000), north=FAR_NORTH)
        self.site(SHORT + 'cell = "100 m"\n')
        os.environ["OMP_NUM_THREADS"] = "2"
        before = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss
        self.run_wide("--memory", "520 MB")
        peak = max(before, resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss) * 1024
        print(f"peak {peak / 1e6:.0f} MB")
        self.assertLess(peak, 520e6)

    def test_stop_in_the_night_leaves_nothing(self):
        write_dem(self.folder / "dem.tif", rolling_ground(300, 300))
        self.site(NIGHT.replace("20 m", "2 m"))
        for memory in ("2 GB", "500 MB"):  # in one piece, by windows
            process = subprocess.Popen([self.program, "wide", "dem.tif", "--night", "farm.toml", "--only", "night_low",
                                        "--out", "wide", "--memory", memory], cwd=self.folder, stderr=subprocess.PIPE,
                                       stdout=subprocess.PIPE, text=True)
            while process.stderr.readline() != "night ...\n":
                self.assertIsNone(process.poll())
            time.sleep(0.5)
            scratch = [p.suffix for p in (self.folder / "wide").rglob("*.rows")]
            self.assertEqual(bool(scratch), memory == "500 MB")
            process.send_signal(signal.SIGINT)
            stdout, stderr = process.communicate(timeout=120)
            self.assertEqual((process.returncode, stdout), (1, ""))
            self.assertRegex(stderr, r"lielow: stopped on request[^\n]*\n\Z")
            self.assertEqual(sorted(p.name for p in self.folder.rglob("*")), ["dem.tif", "farm.toml"])

    def test_disk_without_room(self):
        write_dem(self.folder / "dem.tif", rolling_ground(300, 300))
        self.site(NIGHT.replace("20 m", "2 m"))
        disk = self.folder / "disk"
        disk.mkdir()
        mounted = subprocess.run(["mount", "-t", "tmpfs", "-o", "size=20m", "tmpfs", disk], capture_output=True)
        if mounted.returncode != 0:
            self.skipTest("no right to mount a small tmpfs here")
        self.addCleanup(subprocess.run, ["umount", disk])
        self.assert_refused(self.lielow("wide", "dem.tif", "--night", "farm.toml", "--only", "night_low", "--memory",
                                        "500 MB", "--out", "disk/out", "--quiet"), "MB are free", "--out", status=1)
        self.assertEqual(list(disk.rglob("*")), [])

    def test_refusals(self):
        write_dem(self.folder / "dem.tif", rolling_ground(60, 80))
        ask = ("wide", "dem.tif", "--only", "night_low", "--out", "tiles", "--quiet")
        self.assert_refused(self.lielow(*ask), "night_low needs a site file", "--night SITE.toml")
        self.assert_refused(self.lielow(*ask, "--night", "none.toml"), "none.toml")
        for text, words in (("[night]\n", ["farm.toml", "night.date is missing"]),
                            ("[night]\ndate = 2026-04-18\n", ["night.evening_air is missing"]),
                            (NIGHT + 'reference = "Top"\n', ["night.reference", "Top", "map position"]),
                            (NIGHT + 'reference = "1, 2"\n', ["night.reference", "no ground at 1, 2"]),
                            (NIGHT + 'dew_point = "60 degF"\n', ["night.dew_point is above"]),
                            (NIGHT + "sheet_step = 3\n", ["farm.toml", "night.sheet_step"])):
            self.site(text)
            self.assert_refused(self.lielow(*ask, "--night", "farm.toml"), *words)
        self.site(NIGHT)
        self.assert_refused(self.lielow(*ask, "--night", "farm.toml", "--memory", "300 MB"),
                            "--memory is too little", "at least")
        write_dem(self.folder / "empty.tif", numpy.full((20, 30), numpy.nan, "float32"))
        self.assert_refused(self.lielow("wide", "empty.tif", "--only", "night_low", "--night", "farm.toml", "--out",
                                        "tiles", "--quiet"), "no cell")
        degrees = self.folder / "degrees.tif"
        gdal.Warp(str(degrees), str(self.folder / "dem.tif"), dstSRS="EPSG:4326")
        self.assert_refused(self.lielow("wide", "degrees.tif", "--vertical-unit", "m", "--night", "farm.toml",
                                        "--out", "tiles", "--quiet"), "degrees", "gdalwarp")
        self.assertFalse((self.folder / "tiles").exists())


if __name__ == "__main__":
    main(__doc__)
