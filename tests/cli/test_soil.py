#!/usr/bin/python3
# SPDX-License-Identifier: Apache-2.0
"""Soil survey and field tests through the whole program.

Usage: test_soil.py LIELOW [unittest's own arguments]. Needs Debian's python3-gdal.
"""
import json

import numpy
from osgeo import gdal, ogr

from cli_case import Cli, main, rolling_ground, write_dem, write_polygon

WHOLE = "POLYGON((499990 4399800,500200 4399800,500200 4400010,499990 4400010,499990 4399800))"
PIT = ("name,x,y,top [in],bottom [in],color,mottles,texture\nP,500040,4399960,0,12,10YR 3/2,none,silt loam\n"
       "P,500040,4399960,12,48,10YR 6/1,none,silty clay\n")
SURVEY = dict(drclassdcd="Well drained", ksat_r=9.0, resdept_r=150.0, ph1to1h2o_r=5.5)


class Soil(Cli):
    def site(self, keys, rest="", **attributes):
        text = f'[water]\nstorm = "2 in"\n[soil]\n{keys}{rest}'
        self.write_site(text)
        z = rolling_ground(60, 80)
        z[25:35, 35:45] -= 3  # a hollow, 20 m wide
        write_dem(self.folder / "dem.tif", z)
        if attributes:
            write_polygon(self.folder / "soil.gpkg", WHOLE, **attributes)

    def run_parts(self, *parts):
        arguments = [word for part in parts for word in ("--only", part)]
        result = self.lielow("run", "farm.toml", *arguments, "--out", "results")
        self.assertEqual(result.returncode, 0, result.stderr)
        return json.loads((self.folder / "results/summary.json").read_text())

    def test_check_tells_what_was_read(self):
        self.site('survey = "soil.gpkg"\npits = "pits.csv"\n', **SURVEY)
        (self.folder / "pits.csv").write_text(PIT)
        result = self.lielow("check", "farm.toml")
        self.assertEqual(result.returncode, 0, result.stderr)
        self.assertIn("Soil survey: 1 outlines on the ground, 1 different soils.", result.stdout)
        self.assertRegex(result.stdout, r"drainage class +100 % +well drained +somewhat poorly drained")
        self.assertRegex(result.stdout, r"pH +100 % +5.5 +5.5")
        self.assertNotIn("Soil column", result.stdout)
        self.site('survey = "soil.gpkg"\n', '[soil.columns]\nph = "ph1to1h2o_r"\n')
        self.assertIn("Soil column ph: ph1to1h2o_r.", self.lielow("check", "farm.toml").stdout)
        self.site('survey = "soil.gpkg"\npits = "pits.csv"\n')
        result = self.lielow("check", "farm.toml")
        self.assertIn("Test P (pit): gray from 12 in down: somewhat poorly drained", result.stdout)

    def test_a_pit_wins_where_it_stands(self):
        self.site('survey = "soil.gpkg"\npits = "pits.csv"\ntest_reach = "10 m"\n', **SURVEY)
        (self.folder / "pits.csv").write_text(PIT)
        summary = self.run_parts("soil")
        drainage = gdal.Open(str(self.folder / "results/rasters/soil_drainage.tif")).ReadAsArray()
        y, x = numpy.mgrid[0:60, 0:80]
        near = numpy.hypot(2 * x + 1 - 40, 2 * y + 1 - 40) < 10
        self.assertTrue((drainage[near] == 4).all() and (drainage[~near] == 2).all())
        self.assert_drainage_is_named_and_darkens()
        self.assertAlmostEqual(summary["fields"][0]["soil_wet_m2"], near.sum() * 4, delta=1e-3)
        source = ogr.Open(str(self.folder / "results/sites.gpkg"))
        self.assertIn("somewhat poorly", source.GetLayerByName("soil_tests").GetNextFeature()["reading"])

    def assert_drainage_is_named_and_darkens(self):
        source = gdal.Open(str(self.folder / "results/rasters/soil_drainage.tif"))
        source.GetMetadata()  # GDAL 3.6 reads the names in the file beside it only when asked for this
        band = source.GetRasterBand(1)
        names = band.GetCategoryNames()
        self.assertEqual((len(names), names[2], names[4]), (8, "well drained", "somewhat poorly drained"))
        shades = [band.GetColorTable().GetColorEntry(k)[:3] for k in range(8)]
        self.assertEqual(shades[0], (253, 231, 37))  # viridis' yellow end
        light = [numpy.dot((0.2126, 0.7152, 0.0722), shade) for shade in shades]
        self.assertTrue((numpy.diff(light) < 0).all(), shades)

    def test_auger_spot_in_the_hollow_that_the_survey_calls_dry(self):
        self.site('survey = "soil.gpkg"\n', **SURVEY)
        self.run_parts("soil")
        source = ogr.Open(str(self.folder / "results/sites.gpkg"))
        spots = [(f["reason"], f.GetGeometryRef().Clone()) for f in source.GetLayerByName("auger_spots")]
        dug = ogr.CreateGeometryFromWkt("POLYGON((500070 4399930,500090 4399930,500090 4399950,500070 4399950,"
                                        "500070 4399930))")
        self.assertTrue(any(place.Within(dug) and reason.startswith("take an auger here: a closed hollow")
                            for reason, place in spots), [reason for reason, _ in spots])

    def test_survey_drives_the_days_after_the_storm_and_keys_win(self):
        self.site('survey = "soil.gpkg"\n', **SURVEY)
        surveyed = self.run_parts("drain")
        self.site('conductivity = "9 um/s"\nfloor_depth = "150 cm"\n')
        told = self.run_parts("drain")
        for name in ("left_in_ground_m3", "water_at_start_m3"):
            self.assertEqual(surveyed["parts"]["drain"][name], told["parts"]["drain"][name], name)
        self.site('survey = "soil.gpkg"\nconductivity = "90 um/s"\n', **SURVEY)
        faster = self.run_parts("drain")
        self.assertNotEqual(faster["parts"]["drain"]["left_in_ground_m3"],
                            told["parts"]["drain"]["left_in_ground_m3"])

    def test_coarse_cells_of_the_days_after_the_storm(self):
        keys = 'conductivity = "1 in/h"\nfloor_depth = "5 ft"\n'
        self.site(keys)
        fine = self.run_parts("drain")["fields"][0]
        self.site(keys, '[drain]\ncell = "6 m"\n')
        summary = self.run_parts("drain")
        days = gdal.Open(str(self.folder / "results/rasters/drain_days.tif")).ReadAsArray()
        self.assertEqual(days.shape, (60, 80))
        blocks = days[:, :78].reshape(20, 3, 26, 3)  # blocks of 3 × 3 cells, each of one value
        self.assertTrue((blocks == blocks[:, :1, :, :1]).all())
        self.assertLess(abs(summary["parts"]["drain"]["unaccounted_share"]), 1e-6)
        coarse = summary["fields"][0]
        whole = coarse["area_m2"]
        self.assertLess(abs(coarse["wet_after_2_days_m2"] - fine["wet_after_2_days_m2"]), 0.1 * whole)

    def test_same_bytes_with_one_thread_and_two(self):
        self.site('survey = "soil.gpkg"\npits = "pits.csv"\n', **SURVEY)
        (self.folder / "pits.csv").write_text(PIT)
        self.run_parts("soil")
        first = {p.name: p.read_bytes() for p in (self.folder / "results/rasters").iterdir()}
        layers = (self.folder / "results/sites.gpkg").read_bytes()
        result = self.lielow("run", "farm.toml", "--only", "soil", "--out", "again", env={"OMP_NUM_THREADS": "1"})
        self.assertEqual(result.returncode, 0, result.stderr)
        self.assertEqual(first, {p.name: p.read_bytes() for p in (self.folder / "again/rasters").iterdir()})
        self.assertEqual(layers, (self.folder / "again/sites.gpkg").read_bytes())

    def test_what_cannot_be(self):
        self.site('survey = "soil.gpkg"\n', **{**SURVEY, "drclassdcd": "Wwell drained"})
        self.assert_refused(self.lielow("check", "farm.toml", "--quiet"), "soil.gpkg", '"Wwell drained" is no drainage class',
                            'nearest known one is "well drained"')
        self.assertEqual(self.lielow("run", "farm.toml", "--only", "soil", "--out", "results").returncode, 2)
        self.assertFalse((self.folder / "results").exists())
        self.site('survey = "soil.gpkg"\n', '[soil.columns]\nph = "acid"\n')
        self.assert_refused(self.lielow("check", "farm.toml", "--quiet"), 'no column "acid"')
        self.site('survey = "soil.gpkg"\n', '[soil.columns]\nconductivity = "ksat_r"\n')
        self.assert_refused(self.lielow("check", "farm.toml", "--quiet"), "soil.columns.conductivity must say its unit")
        self.site('survey = "soil.gpkg"\n', '[soil.columns]\nacidity = "ph"\n')
        self.assert_refused(self.lielow("check", "farm.toml", "--quiet"), "unknown key soil.columns.acidity")
        self.site('penetrometer = "cone.csv"\n')
        (self.folder / "cone.csv").write_text("name,x,y,pressure [psi]\nC,500040,4399960,2100\n")
        self.assert_refused(self.lielow("check", "farm.toml", "--quiet"), "cone.csv, row 2", "did you mean kPa?")


if __name__ == "__main__":
    main(__doc__)
