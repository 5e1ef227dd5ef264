#!/usr/bin/python3
# SPDX-License-Identifier: Apache-2.0
"""Where the crop can be planted: maps, figures, sentences, layers of an earlier run, refusals.

Usage: test_siting.py LIELOW [unittest's own arguments]. Needs Debian's python3-gdal.
"""
import json
import re

import numpy
from osgeo import gdal, ogr

from cli_case import Cli, main, rolling_ground, write_dem, write_polygon

CROP = '[crop]\nkind = "highbush blueberry"\nstage = "full bloom"\n'
WATER = '[water]\nstorm = "3 in"\n'
LENIENT = '[siting]\nnecessary = "standing water"\n'


class Siting(Cli):
    def raster(self, name, folder="results"):
        source = gdal.Open(str(self.folder / folder / f"rasters/{name}.tif"))
        return source.ReadAsArray()

    def classes(self, name, folder="results"):
        source = gdal.Open(str(self.folder / folder / f"rasters/{name}.tif"))
        source.GetMetadata()  # loads the names beside it
        return source.GetRasterBand(1).GetCategoryNames()

    def summary(self, folder="results"):
        return json.loads((self.folder / folder / "summary.json").read_text())

    def run_siting(self, parts, *more, out="results"):
        result = self.lielow("run", "farm.toml", "--only", parts, "--out", out, *more)
        self.assertEqual(result.returncode, 0, result.stderr)
        return result.stdout

    def test_ponds_decide_and_the_figures_agree_with_the_maps(self):
        self.write_site(CROP + '[water]\nstorm = "8 in"\n' + LENIENT)
        write_polygon(self.folder / "f.gpkg", "POLYGON((500020 4399980,500140 4399980,500140 4399890,500020 4399890,"
                      "500020 4399980))", name="Mill Piece")
        (self.folder / "farm.toml").write_text((self.folder / "farm.toml").read_text().replace(
            'dem = "dem.tif"\n', 'dem = "dem.tif"\nfields = "f.gpkg"\n'))
        z = rolling_ground(60, 80)
        z[25:35, 35:45] -= 1  # a hollow
        write_dem(self.folder / "dem.tif", z)
        told = self.run_siting("water,siting")
        depth, siting, why = (self.raster(n) for n in ("storm_depth", "siting", "siting_reason"))
        self.assertEqual(self.classes("siting"), ["plant", "plant with work", "not here", "unknown"])
        self.assertEqual(self.classes("siting_reason")[:3], ["nothing limits", "frost", "standing water"])
        wet = depth > 0.3048
        self.assertTrue(wet.any())
        self.assertTrue((siting[wet] == 2).all() and (why[wet] == 2).all())
        damp = (depth > 0.0254) & ~wet
        self.assertTrue((siting[damp] >= 1).all())
        dry = (depth <= 0.0254) & (siting == 0)
        self.assertTrue((why[dry] == 0).all())
        self.assertEqual(set(numpy.unique(siting)) - {0, 1, 2}, set())
        self.assertTrue((why[(siting > 0) & (depth <= 0.0254)] == 9).all())  # steep ground
        [field], part = self.summary()["fields"], self.summary()["parts"]["siting"]
        inside = numpy.zeros(z.shape, bool)
        inside[10:55, 10:70] = True
        for name, value in (("plant", 0), ("work", 1), ("not_here", 2), ("unknown", 3)):
            self.assertAlmostEqual(field[f"siting_{name}_m2"], ((siting == value) & inside).sum() * 4, delta=1e-3)
        self.assertAlmostEqual(field["siting_not_here_standing_water_m2"], (wet & inside).sum() * 4, delta=1e-3)
        self.assertEqual(field["siting_rank"], 1)
        self.assertIn("standing water", field["siting_verdict"])
        self.assertIn(f"Mill Piece: {field['siting_verdict']}", told)
        self.assertIn("ask wetland and drainage law", told)
        self.assertIn("pond_depth", part["judged_by"])
        vectors = ogr.Open(str(self.folder / "results/sites.gpkg"))
        feature = vectors.GetLayerByName("fields").GetNextFeature()
        self.assertEqual(feature["siting_verdict"], field["siting_verdict"])
        self.assertAlmostEqual(feature["siting_plant_acres"], field["siting_plant_m2"] / 4046.8564224, places=3)

    def test_what_is_necessary_and_unknown_is_named(self):
        self.write_site(CROP + WATER)
        told = self.run_siting("water,siting")
        siting, why = self.raster("siting"), self.raster("siting_reason")
        self.assertEqual(set(numpy.unique(siting)) - {2, 3}, set())
        self.assertTrue((why[siting == 3] == 1).all())  # frost is the first to find out
        self.assertIn("find out frost (run the night", told)
        self.assertIn("soil pH (a soil test)", told)

    def test_layers_of_an_earlier_run_give_the_same(self):
        self.write_site(CROP + WATER + LENIENT)
        self.run_siting("water,siting", out="whole")
        self.run_siting("water", out="first")
        told = self.run_siting("siting", "--reuse", "first", out="second")
        self.assertIn("taken from the earlier run in first: storm_depth, hollow_depth", told)
        self.assertNotIn("other settings", told)
        for name in ("siting", "siting_reason"):
            one, two = ((self.folder / f / f"rasters/{name}.tif").read_bytes() for f in ("whole", "second"))
            self.assertEqual(one, two, name)
        self.assertFalse((self.folder / "second/rasters/storm_depth.tif").exists())

    def test_other_settings_of_the_earlier_run_are_told(self):
        self.write_site(CROP + WATER + LENIENT)
        self.run_siting("water", out="first")
        site = self.folder / "farm.toml"
        site.write_text(site.read_text().replace("3 in", "4 in"))
        told = self.run_siting("siting", "--reuse", "first")
        self.assertIn("water.storm was 3 in, is 4 in", told)
        told = self.run_siting("water,siting", "--reuse", "first")  # run anew: nothing comes from there
        self.assertNotIn("taken from the earlier run", told)

    def test_the_earlier_results_may_lie_in_the_same_folder(self):
        self.write_site(CROP + WATER + LENIENT)
        self.run_siting("water,siting")
        before = (self.folder / "results/rasters/siting.tif").read_bytes()
        self.run_siting("siting", "--reuse", "results")
        self.assertEqual(before, (self.folder / "results/rasters/siting.tif").read_bytes())
        self.assertTrue((self.folder / "results/rasters/storm_depth.tif").exists())
        self.assertIn("nothing was reused", self.run_siting("water", "--reuse", "results"))

    def test_another_ground_is_refused(self):
        self.write_site(CROP + WATER + LENIENT)
        self.run_siting("water", out="first")
        write_dem(self.folder / "dem.tif", rolling_ground(60, 80) + 1)
        result = self.lielow("run", "farm.toml", "--only", "siting", "--reuse", "first", "--out", "results", "--quiet")
        self.assert_refused(result, "first holds results of another DEM than dem.tif")
        self.assertFalse((self.folder / "results").exists())
        result = self.lielow("run", "farm.toml", "--only", "siting", "--reuse", "nowhere", "--out", "results", "--quiet")
        self.assert_refused(result, "nowhere holds no results to reuse")

    def test_a_raster_on_another_grid_is_refused(self):
        self.write_site(CROP + WATER + LENIENT)
        self.run_siting("water", out="first")
        write_dem(self.folder / "first/rasters/hollow_depth.tif", rolling_ground(60, 79))
        result = self.lielow("run", "farm.toml", "--only", "siting", "--reuse", "first", "--out", "results", "--quiet")
        self.assert_refused(result, "hollow_depth.tif doesn't lie on the cells of this site's DEM")

    def test_one_line_where_there_is_nothing_to_judge(self):
        self.write_site(CROP)
        told = self.run_siting("siting")
        self.assertEqual(len(re.findall("no siting: there are no layers to judge by", told)), 1)
        self.write_site(WATER)
        self.assertIn("no siting: crop.kind isn't given", self.run_siting("water,siting"))
        self.assertFalse((self.folder / "results/rasters/siting.tif").exists())

    def test_frost_of_the_night_pictured(self):
        self.write_site('[night]\ndate = 2026-04-18\nevening_air = "40 degF"\ncell = "20 m"\n' + CROP +
                        '[siting]\nnecessary = "frost"\n')
        told = self.run_siting("night,siting")
        loss, siting, why = (self.raster(n) for n in ("loss_share", "siting", "siting_reason"))
        lost = loss > 0.5
        self.assertTrue(lost.any())
        self.assertTrue((siting[lost] == 2).all() and (why[lost] == 1).all())
        self.assertIn("frost is judged by the one night pictured", told)

    def test_check_tells_the_limits_and_refuses_what_is_upside_down(self):
        self.write_site(CROP)
        result = self.lielow("check", "farm.toml")
        self.assertEqual(result.returncode, 0, result.stderr)
        self.assertIn("Where highbush blueberry is called fit to plant", result.stdout)
        self.assertIn("at least 20.00 in", result.stdout)
        self.assertIn("siting: ready to run", result.stdout)
        self.write_site(CROP + '[siting]\nyears_plant = 2\nyears_work = 4\n')
        for call in (("check", "farm.toml"), ("run", "farm.toml", "--only", "siting")):
            self.assert_refused(self.lielow(*call, "--quiet"), "farm.toml: siting.years_work asks for more")

    def test_a_crop_of_ones_own(self):
        (self.folder / "own.toml").write_text(
            '[[crop]]\nname = "highbush blueberry"\n[[crop.need]]\nwhat = "slope"\nvalue = 0.01\n'
            'source = "an invented source"\n')
        self.write_site(CROP + 'table = "own.toml"\n' + WATER + '[siting]\nnecessary = "slope"\n')
        self.run_siting("water,siting")
        steep = self.raster("siting_reason") == 9
        self.assertGreater(steep.mean(), 0.3)
        (self.folder / "own.toml").write_text('[[crop]]\nname = "x"\n[[crop.need]]\nwhat = "slope"\nvalue = 7\n')
        result = self.lielow("run", "farm.toml", "--only", "siting", "--out", "other", "--quiet")
        self.assert_refused(result, "own.toml, line 5: slope is out of range")


if __name__ == "__main__":
    main(__doc__)
