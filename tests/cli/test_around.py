#!/usr/bin/python3
# SPDX-License-Identifier: Apache-2.0
"""A night within the ground around the farm, and one without: what the program tells of the edges.

Usage: test_around.py LIELOW [unittest's own arguments]. Needs Debian's python3-gdal.
"""
import json

import numpy
from osgeo import gdal

from cli_case import Cli, main, rolling_ground, write_dem

NIGHT = '[night]\ndate = 2026-04-18\nevening_air = "48 degF"\ncell = "16 m"\nsheets = 5\n'


class Around(Cli):
    def write_farm(self, lift=0.0, beyond=200):
        """160 m x 120 m of 2 m cells out of a slope, on 10 m cells `beyond` m farther on every side."""
        ground = rolling_ground(60 + beyond, 80 + beyond) + 0.1 * numpy.arange(60 + beyond, dtype="float32")[:, None]
        margin = beyond // 2
        write_dem(self.folder / "dem.tif", ground[margin:margin + 60, margin:margin + 80])
        write_dem(self.folder / "fine.tif", ground + numpy.float32(lift), north=4400000 + beyond)
        fine = gdal.Open(str(self.folder / "fine.tif"), gdal.GA_Update)
        fine.SetGeoTransform([500000 - beyond, 2, 0, 4400000 + beyond, 0, -2])
        fine.FlushCache()
        wide = gdal.Warp(str(self.folder / "wide.tif"), fine, xRes=10, yRes=10, resampleAlg="average")
        wide.GetRasterBand(1).SetUnitType("m")

    def write_sites(self):
        for name, line in (("alone", ""), ("nested", 'around = "wide.tif"\n')):
            (self.folder / f"{name}.toml").write_text('[ground]\ndem = "dem.tif"\n' + line + NIGHT)

    def night_of(self, name):
        result = self.lielow("run", f"{name}.toml", "--only", "night", "--out", name, "--quiet")
        self.assertEqual(result.returncode, 0, result.stderr)
        summary = json.loads((self.folder / name / "summary.json").read_text())
        field = summary["fields"][0]
        self.assertTrue(0 <= field["air_from_edge_share"] <= 1)
        return summary, summary["parts"]["night"], field

    def test_nested_and_alone(self):
        self.write_farm()
        self.write_sites()
        summary, nested, within = self.night_of("nested")
        self.assertLess(abs(nested["heat_residual_share"]), 1e-5)
        self.assertLess(abs(nested["around_residual_share"]), 1e-5)
        self.assertLess(abs(nested["around_lift_m"]), 0.2)
        self.assertGreaterEqual(nested["around_cell_width_m"], 2 * nested["cell_width_m"])
        self.assertAlmostEqual(nested["around_reach_west_m"], 200, delta=20)
        self.assertTrue(any("wide.tif: reaches" in note for note in summary["notes"]))
        self.assertIn("ground.around", [entry["key"] for entry in summary["inputs"]])
        summary, alone, by_itself = self.night_of("alone")
        self.assertNotIn("around_reach_west_m", alone)
        # The slope's air comes from beyond the farm, and alone the farm doesn't know it.
        self.assertGreater(by_itself["edge_choice_k"], 2 / 1.8)
        self.assertGreater(by_itself["edge_choice_k"], within["edge_choice_k"])
        self.assertTrue(any("The ground ends too near" in line for line in summary["cautions"]))

    def test_bad_surround_is_refused_by_check_and_run(self):
        for lift, beyond, words in ((30.0, 200, "wide.tif lies 30.0 m higher than dem.tif"),
                                    (0.0, 10, "wide.tif must reach beyond dem.tif on every side")):
            self.write_farm(lift, beyond)
            self.write_sites()
            for command in ("check", "run"):
                self.assert_refused(self.lielow(command, "nested.toml", "--quiet"), words)
        (self.folder / "wide.tif").unlink()
        for command in ("check", "run"):
            self.assert_refused(self.lielow(command, "nested.toml", "--quiet"), "wide.tif: no such file")
        self.assertFalse((self.folder / "nested").exists())


if __name__ == "__main__":
    main(__doc__)
