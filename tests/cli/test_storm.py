#!/usr/bin/python3
# SPDX-License-Identifier: Apache-2.0
"""A storm run through its hours by the program: what it writes agrees with itself.

Usage: test_storm.py LIELOW [unittest's own arguments]. Needs Debian's python3-gdal.
"""
import csv
import json

import numpy
from osgeo import gdal

from cli_case import Cli, main, write_polygon


class Storm(Cli):
    def test_storm_through_its_hours(self):
        self.write_site('[water]\nstorm_table = "rain.csv"\nstorm_follow = "1 h"\nsoil_texture = "clay"\n'
                        'storm_lines = "lines.gpkg"\n')
        (self.folder / "rain.csv").write_text("hours,rain_in\n0,0\n0.25,0.5\n0.5,2\n1,2.5\n")
        write_polygon(self.folder / "lines.gpkg", "LINESTRING(500081 4399990,500081 4399890)", name="across, \"A\"")
        for threads in (1, 2):
            result = self.run_water("--threads", threads, "--out", f"results{threads}")
            self.assertEqual(result.returncode, 0, result.stderr)
        names = ["storm_depth", "storm_hours", "storm_speed"]
        one, two = ([gdal.Open(str(self.folder / f"results{n}/rasters/{name}.tif")).ReadAsArray() for name in names]
                    for n in (1, 2))
        numpy.testing.assert_array_equal(one, two)
        depth, hours, speed = one
        self.assertGreater(depth.max(), 0.0254)
        self.assertEqual(((hours > 0) & (depth <= 0.0254)).sum(), 0)
        self.assertTrue(0 < hours.max() <= 2.001, hours.max())
        self.assertTrue(0 < speed.max() < 5, speed.max())
        storm = json.loads((self.folder / "results1/summary.json").read_text())["parts"]["storm"]
        fallen = depth.size * 4 * 2.5 * 0.0254
        self.assertAlmostEqual(storm["rain_m3"], fallen, delta=1e-6 * fallen)
        self.assertLess(abs(storm["balance_gap_share"]), 1e-9)
        self.assertTrue(0 < storm["infiltrated_m3"] < fallen)
        with open(self.folder / "results1/storm_discharge.csv", newline="") as table:
            rows = list(csv.reader(table))
        self.assertEqual(rows[0], ["minutes", "rain_mm_h", "left_ground_m3_s", 'across, "A" m3_s'])
        self.assertEqual(float(rows[-1][0]), 120)
        left = sum(float(row[2]) for row in rows[1:]) * 300
        self.assertAlmostEqual(left, storm["left_ground_m3"], delta=1e-4 * left)
        self.assertAlmostEqual(sum(float(row[1]) for row in rows[1:]) / 12, 63.5, places=2)


if __name__ == "__main__":
    main(__doc__)
