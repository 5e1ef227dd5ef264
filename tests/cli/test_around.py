#!/usr/bin/python3
# SPDX-License-Identifier: Apache-2.0
"""A night within the ground around the farm, and one without: what the program tells of the edges.

Usage: test_around.py LIELOW [unittest's own arguments]. Needs Debian's python3-gdal.
"""
import json

import numpy
from cli_case import Cli, main, write_dem, write_polygon
from osgeo import gdal

QUICK_NIGHT = '[night]\ndate = 2026-04-18\nevening_air = "48 degF"\ncell = "12 m"\nsheets = 5\n'
ROWS, COLS = 60, 80  # of the farm, cells of 2 m
FIELD = "POLYGON((500040 4399960,500120 4399960,500120 4399920,500040 4399920,500040 4399960))"


def basin_ground(beyond):
    """Farm of 160 m x 120 m on the floor of a basin 12 m deep whose rim lies 200 m off, tilted; and the same ground
    `beyond` m farther on every side."""
    y, x = numpy.mgrid[0:ROWS + beyond, 0:COLS + beyond].astype("float32")
    rim = numpy.hypot(x - x.mean() + 10, y - y.mean()) / 100
    ground = 100 + 12 * numpy.sin(numpy.pi / 2 * numpy.minimum(rim, 1)) ** 2 + 0.004 * x
    margin = beyond // 2
    return ground[margin:margin + ROWS, margin:margin + COLS], ground


class Around(Cli):
    def write_ground(self, beyond=160, lift=0.0, factor=1.0, cell=10, east=0, crs=True):
        """dem.tif; whole.tif, the whole ground on the same cells; wide.tif, the same on cells of `cell` m."""
        farm, whole = basin_ground(beyond)
        write_dem(self.folder / "dem.tif", farm)
        for name, z in (("whole", whole), ("moved", factor * (whole + numpy.float32(lift)))):
            write_dem(self.folder / f"{name}.tif", z)
            raster = gdal.Open(str(self.folder / f"{name}.tif"), gdal.GA_Update)
            raster.SetGeoTransform([500000 - beyond + east, 2, 0, 4400000 + beyond, 0, -2])
            raster.FlushCache()
        if not crs:
            raster.SetProjection("")
            raster.FlushCache()
        wide = gdal.Warp(str(self.folder / "wide.tif"), raster, xRes=cell, yRes=cell, resampleAlg="average")
        wide.GetRasterBand(1).SetUnitType("m")
        write_polygon(self.folder / "f.gpkg", FIELD, name="Bench")
        for site, dem, line in (("alone", "dem", ""), ("nested", "dem", 'around = "wide.tif"\n'), ("whole", "whole", "")):
            (self.folder / f"{site}.toml").write_text(
                f'[ground]\ndem = "{dem}.tif"\nfields = "f.gpkg"\n' + line + QUICK_NIGHT)

    def night_of(self, name, *more):
        """Its summary, what it says of the night and of the field, and night_low over the field."""
        result = self.lielow("run", f"{name}.toml", "--only", "night", "--out", name, "--quiet", *more)
        self.assertEqual(result.returncode, 0, result.stderr)
        summary = json.loads((self.folder / name / "summary.json").read_text())
        [field] = summary["fields"]
        low = gdal.Open(str(self.folder / name / "rasters/night_low.tif"))
        corner = low.GetGeoTransform()
        row, col = round((corner[3] - 4399960) / 2), round((500040 - corner[0]) / 2)
        return summary, summary["parts"]["night"], field, low.ReadAsArray()[row:row + 20, col:col + 40]

    def test_nested_is_the_whole_grounds_night(self):
        self.write_ground()
        _, _, of_whole, whole = self.night_of("whole")
        summary, nested, within, low = self.night_of("nested")
        alone_summary, alone, by_itself, alone_low = self.night_of("alone")
        error, alone_error = (float(numpy.sqrt(numpy.mean((x - whole) ** 2))) for x in (low, alone_low))
        print(f"field's night_low against the whole ground's: alone {alone_error:.3f} K, nested {error:.3f} K")
        self.assertGreater(alone_error, 0.5)  # else there'd be nothing to mend
        self.assertLess(error, 0.2 * alone_error)
        self.assertLess(abs(nested["heat_residual_share"]), 1e-5)
        self.assertLess(abs(nested["around_residual_share"]), 1e-5)
        self.assertLess(abs(nested["around_lift_m"]), 0.2)
        self.assertGreaterEqual(nested["around_cell_width_m"], 2 * nested["cell_width_m"])
        for side in ("west", "east", "north", "south"):
            self.assertAlmostEqual(nested[f"around_reach_{side}_m"], 160, delta=20)
        self.assertTrue(any("wide.tif: reaches" in note for note in summary["notes"]))
        self.assertIn("ground.around", [entry["key"] for entry in summary["inputs"]])
        self.assertFalse([key for key in alone if key.startswith("around_")])
        self.assertRegex(nested["around"], r"^wide.tif, solved on cells of 24 m; beyond its edges: far field$")
        # The pool is held by a rim that the farm alone doesn't know.
        self.assertGreater(by_itself["edge_choice_k"], 2 / 1.8)
        self.assertGreater(by_itself["edge_choice_k"], 2 * within["edge_choice_k"])
        # Both know the same ground, so the same share comes from beyond it.
        self.assertAlmostEqual(within["air_from_edge_share"], of_whole["air_from_edge_share"], delta=0.05)
        self.assertTrue(any("The ground ends too near" in line and "Bench" in line
                            for line in alone_summary["cautions"]))
        self.assertTrue(any("from beyond the DEM's edge" in line for line in alone_summary["cautions"]))

    def test_same_files_from_one_thread_and_several(self):
        self.write_ground()
        kept = []
        for threads in (1, 2):
            self.night_of("nested", "--threads", threads)
            kept.append([(self.folder / "nested/rasters" / f"{name}.tif").read_bytes()
                         for name in ("night_low", "flow_speed", "cold_depth")])
        self.assertEqual(*kept)

    def refused(self, *words, **how):
        self.write_ground(**how)
        for command in ("check", "run"):
            self.assert_refused(self.lielow(command, "nested.toml", "--quiet"), *words)

    def test_bad_surrounds_are_refused_by_check_and_run(self):
        self.refused("wide.tif lies 30.0 m higher than dem.tif", "vertical datum", lift=30.0)
        self.refused("wide.tif lies", "around_vertical_unit", factor=1 / 0.3048)
        self.refused("wide.tif must reach beyond dem.tif on every side", beyond=10)
        self.refused("wide.tif", "dem.tif", east=2000)
        self.refused("wide.tif", "around_crs", crs=False)
        self.refused("wide.tif", "cells of 140 m", "wider than dem.tif", cell=140)
        (self.folder / "wide.tif").unlink()
        for command in ("check", "run"):
            self.assert_refused(self.lielow(command, "nested.toml", "--quiet"), "wide.tif: no such file")
        self.assertFalse((self.folder / "nested").exists())

    def test_unit_of_the_surround_can_be_said(self):
        self.write_ground(factor=1 / 0.3048)
        wide = gdal.Open(str(self.folder / "wide.tif"), gdal.GA_Update)
        wide.GetRasterBand(1).SetUnitType("")
        wide = None
        site = self.folder / "nested.toml"
        site.write_text(site.read_text().replace("[night]", 'around_vertical_unit = "ft"\n[night]'))
        self.assertLess(abs(self.night_of("nested")[1]["around_lift_m"]), 0.2)

    def test_finer_surround_is_averaged(self):
        self.write_ground(cell=1)
        night = self.night_of("nested")[1]
        self.assertEqual(night["around_cell_width_m"], 24)
        self.assertLess(abs(night["around_lift_m"]), 0.05)


if __name__ == "__main__":
    main(__doc__)
