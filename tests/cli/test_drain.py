#!/usr/bin/python3
# SPDX-License-Identifier: Apache-2.0
"""The days after a storm: maps, figures, water that isn't lost.

Usage: test_drain.py LIELOW [unittest's own arguments]. Needs Debian's python3-gdal.
"""
import json

from osgeo import gdal

from cli_case import Cli, main, rolling_ground, write_dem, write_polygon


class DaysAfterTheStorm(Cli):
    def test_days_after_the_storm(self):
        self.write_site('[water]\nstorm = "2.8 in"\n[soil]\nconductivity = "1 in/h"\nfloor_depth_map = "f.tif"\n'
                        '[drain]\ndays = 7\nlines = "d.gpkg"\nspacing = "40 ft"\n')
        z = rolling_ground(60, 80)
        write_dem(self.folder / "f.tif", 0 * z + 5, unit="ft")
        write_polygon(self.folder / "d.gpkg", "LINESTRING(500020 4399960,500120 4399960)", kind="ditch", depth="2 ft")
        result = self.lielow("run", "farm.toml", "--only", "drain", "--out", "results")
        self.assertEqual(result.returncode, 0, result.stderr)
        self.assertIn("Wet: water within 2.5 ft of the surface", result.stdout)
        self.assertIn("a bed doesn't cure infected ground", result.stdout)
        names = ["drain_days.tif", "drain_days_with_pipes.tif", "water_table_day1.tif", "water_table_day2.tif",
                 "water_table_day7.tif"]
        self.assertEqual(sorted(p.name for p in (self.folder / "results/rasters").glob("*.tif")), names)
        days, piped, one, two, seven = (gdal.Open(str(self.folder / "results/rasters" / n)).ReadAsArray()
                                        for n in names)
        self.assertGreater(days.max(), 0)
        self.assertLessEqual(days.max(), 7)
        self.assertLess(piped.mean(), days.mean())
        for depth in (one, two, seven):
            self.assertTrue((depth >= 0).all() and (depth <= 5 * 0.3048 + 1e-5).all())
        self.assertGreaterEqual(one[20, 12:58].min(), 2 * 0.3048 - 1e-5)  # the ditch's row
        summary = json.loads((self.folder / "results/summary.json").read_text())
        drain, [field] = summary["parts"]["drain"], summary["fields"]
        self.assertLess(abs(drain["unaccounted_share"]), 1e-6)
        self.assertAlmostEqual(field["wet_after_2_days_m2"], (days >= 2).sum() * 4, delta=1e-3)
        self.assertAlmostEqual(field["wet_after_2_days_with_pipes_m2"], (piped >= 2).sum() * 4, delta=1e-3)
        self.assertLess(field["wet_after_2_days_on_beds_m2"], field["wet_after_2_days_m2"])
        self.assertGreater(drain["to_ditches_m3"], 0)
        self.assertGreater(field["pipe_spacing_m"], 0)

    def test_no_soil_no_days_after_the_storm(self):
        self.write_site('[water]\nstorm = "2.8 in"\n')
        result = self.lielow("run", "farm.toml", "--only", "drain", "--out", "results")
        self.assertEqual(result.returncode, 0, result.stderr)
        self.assertIn("no days after the storm: soil.conductivity isn't given", result.stdout)

    def test_roots_of_the_crop(self):
        soil = '[water]\nstorm = "1 in"\n[soil]\nconductivity = "1 in/h"\n'
        for text, depth_m in (("", 30 * 0.0254), ('[crop]\nkind = "highbush blueberry"\nstage = "full bloom"\n', 0.6),
                              ('[crop]\nkind = "strawberry"\nstage = "full bloom"\n', 0.3),
                              ('[crop]\nkind = "apple"\nstage = "full bloom"\n', 30 * 0.0254),
                              ('[crop]\nkind = "apple"\nstage = "full bloom"\n[drain]\nroot_depth = "1 m"\n', 1)):
            self.write_site(soil + text, rows=20, cols=20)
            result = self.lielow("run", "farm.toml", "--only", "drain", "--out", "results")
            self.assertEqual(result.returncode, 0, result.stderr)
            drain = json.loads((self.folder / "results/summary.json").read_text())["parts"]["drain"]
            self.assertAlmostEqual(drain["root_depth_m"], depth_m, places=9)

    def test_share_that_runs_off_fills_the_hollows(self):
        """On ground with room for all of it nothing stands unless water.runoff_share says that some runs off."""
        for share, ponds in (("", False), ("runoff_share = 0.5\n", True)):
            self.write_site('[water]\nstorm = "2 in"\n' + share + '[soil]\nconductivity = "1 in/h"\n'
                            'drainable_porosity = 0.1\n[drain]\ntable_depth = "5 ft"\n')
            z = rolling_ground(60, 80)
            z[25:35, 35:45] -= 1  # a hollow
            write_dem(self.folder / "dem.tif", z)
            result = self.lielow("run", "farm.toml", "--only", "drain", "--out", "results")
            self.assertEqual(result.returncode, 0, result.stderr)
            drain = json.loads((self.folder / "results/summary.json").read_text())["parts"]["drain"]
            area = 60 * 80 * 4
            self.assertEqual(drain["ponded_at_start_m3"] > 0, ponds)
            soaked = area * 0.0508 * (0.5 if share else 1)
            room = 1 / 3.2808399 * (6 - 5) * 0.1 * area  # a foot of water table above the layer
            self.assertAlmostEqual(drain["water_at_start_m3"] - drain["ponded_at_start_m3"], room + soaked,
                                   delta=1e-4 * room)
            fallen = drain["ponded_at_start_m3"] + drain["ran_off_in_storm_m3"] + soaked
            self.assertAlmostEqual(fallen, area * 0.0508, delta=1e-4 * fallen)


if __name__ == "__main__":
    main(__doc__)
