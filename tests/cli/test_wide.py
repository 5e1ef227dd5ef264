#!/usr/bin/python3
# SPDX-License-Identifier: Apache-2.0
"""`lielow wide`: rasters made by tiles are those of `lielow run`, and what is refused.

Usage: test_wide.py LIELOW [unittest's own arguments]. Needs Debian's python3-gdal.
"""
import numpy
from osgeo import gdal

from cli_case import Cli, main, rolling_ground, write_dem


def values(path):
    return gdal.Open(str(path)).ReadAsArray()


class Wide(Cli):
    def ground(self):
        """Two tiles and rests one cell wide, with a plateau and holes."""
        z = numpy.minimum(rolling_ground(257, 513), 104.5)
        z += (numpy.random.default_rng(5).random(z.shape) * 0.25).round(1).astype("float32")
        z[100:130, 240:280] = numpy.nan
        write_dem(self.folder / "dem.tif", z.astype("float32"))

    def test_equals_the_run_of_the_whole_ground(self):
        self.ground()
        (self.folder / "farm.toml").write_text('[ground]\ndem = "dem.tif"\n')
        answer = self.lielow("run", "farm.toml", "--only", "water", "--out", "whole", "--quiet")
        self.assertEqual(answer.returncode, 0, answer.stderr)
        answer = self.lielow("wide", "dem.tif", "--memory", "454 MB", "--out", "tiles", "--quiet")
        self.assertEqual(answer.returncode, 0, answer.stderr)
        self.assertIn("tiles of 256 by 256", answer.stdout)
        for name in ("hollow_depth", "fill_stage"):
            whole = values(next((self.folder / "whole").rglob(f"{name}.tif")))
            self.assertTrue(numpy.array_equal(whole, values(self.folder / "tiles" / f"{name}.tif")), name)
        area = values(self.folder / "tiles" / "upslope_area.tif")
        self.assertEqual(area[area > 0].min(), 4)  # one cell of 2 m by 2 m
        self.assertEqual((area == -9999).sum(), 30 * 40)
        self.assertEqual(sorted(p.name for p in (self.folder / "tiles").iterdir()),
                         ["fill_stage.tif", "hollow_depth.tif", "upslope_area.tif"])

    def test_raster_stored_from_the_south_up_and_from_east_to_west(self):
        self.ground()
        z = values(self.folder / "dem.tif")
        write_dem(self.folder / "turned.tif", z[::-1, ::-1])
        turned = gdal.Open(str(self.folder / "turned.tif"), gdal.GA_Update)
        turned.SetGeoTransform([500000 + 2 * z.shape[1], -2, 0, 4400000 - 2 * z.shape[0], 0, 2])
        turned = None
        for name in ("dem", "turned"):
            answer = self.lielow("wide", f"{name}.tif", "--memory", "454 MB", "--out", name, "--quiet")
            self.assertEqual(answer.returncode, 0, answer.stderr)
        for name in ("hollow_depth", "fill_stage", "upslope_area"):
            straight, mirrored = (gdal.Open(str(self.folder / of / f"{name}.tif")) for of in ("dem", "turned"))
            self.assertEqual(straight.GetGeoTransform(), mirrored.GetGeoTransform())
            self.assertTrue(numpy.array_equal(straight.ReadAsArray(), mirrored.ReadAsArray()), name)

    def test_only_what_is_asked(self):
        self.ground()
        answer = self.lielow("wide", "dem.tif", "--only", "upslope_area", "--out", "tiles", "--quiet")
        self.assertEqual(answer.returncode, 0, answer.stderr)
        self.assertEqual([p.name for p in (self.folder / "tiles").iterdir()], ["upslope_area.tif"])

    def test_refusals(self):
        self.ground()
        for memory, words in (("100 MB", ["too little", "at least"]), ("much", ["no amount of memory"]),
                              ("2", ["no amount of memory"]), ("-2 GB", ["no amount of memory"])):
            # In one word, so that a minus sign isn't taken for an option.
            self.assert_refused(self.lielow("wide", "dem.tif", f"--memory={memory}", "--out", "tiles"), *words)
        self.assert_refused(self.lielow("wide", "none.tif", "--out", "tiles"), "none.tif: no such file")
        write_dem(self.folder / "empty.tif", numpy.full((20, 30), numpy.nan, "float32"))
        for only in ("hollow_depth", "fill_stage", "upslope_area"):
            self.assert_refused(self.lielow("wide", "empty.tif", "--only", only, "--out", "tiles", "--quiet"), "no cell")
        whole = (self.folder / "dem.tif").read_bytes()
        (self.folder / "half.tif").write_bytes(whole[:len(whole) // 2])
        self.assert_refused(self.lielow("wide", "half.tif", "--out", "tiles", "--quiet"), "half.tif", "cut off")
        self.assertFalse((self.folder / "tiles").exists())


if __name__ == "__main__":
    main(__doc__)
