#!/usr/bin/python3
# SPDX-License-Identifier: Apache-2.0
"""How a night is read: named spots, hours below, flow maps, arrows, paths, where a field's cold comes from.

Usage: test_reading.py LIELOW [unittest's own arguments]. Needs Debian's python3-gdal.
"""
import csv
import json

import numpy
from cli_case import NIGHT, QUICK_NIGHT, Cli, main, write_dem, write_polygon
from osgeo import gdal, ogr

FIELD = "POLYGON((500040 4399960,500120 4399960,500120 4399880,500040 4399880,500040 4399960))"


def slope(east, south, rows=80, cols=80):
    """Plane ground of 2 m cells that falls by these shares of a metre a metre."""
    y, x = numpy.mgrid[0:rows, 0:cols]
    return (100 - 2 * (east * x + south * y)).astype("float32")


class Reading(Cli):
    def night(self, z, text="", fields=False, night=QUICK_NIGHT):
        """Runs a night on ground `z`; its folder."""
        write_dem(self.folder / "dem.tif", z)
        ground = '[ground]\ndem = "dem.tif"\n' + ('fields = "f.gpkg"\n' if fields else "")
        (self.folder / "farm.toml").write_text(ground + night.replace("20 m", "8 m") + text)
        self.result = self.lielow("run", "farm.toml", "--only", "night", "--out", "results", "--quiet")
        self.assertEqual(self.result.returncode, 0, self.result.stderr)
        return self.folder / "results"

    def raster(self, name):
        return gdal.Open(str(self.folder / "results/rasters" / f"{name}.tif")).ReadAsArray()

    def layer(self, name):
        source = ogr.Open(str(self.folder / "results/sites.gpkg"))
        return [(f.items(), f.geometry().Clone()) for f in source.GetLayerByName(name)]

    def test_air_comes_from_uphill_in_all_four_quarters(self):
        for east, south, uphill, side in ((0.03, 0.03, 315, ("N", "NW", "W")), (-0.03, 0.03, 45, ("N", "NE", "E")),
                                          (-0.03, -0.03, 135, ("S", "SE", "E")), (0.03, -0.03, 225, ("S", "SW", "W"))):
            write_polygon(self.folder / "f.gpkg", FIELD, name="A")
            out = self.night(slope(east, south), fields=True)
            (self.folder / "f.gpkg").unlink()
            self.assertAlmostEqual(float(self.raster("flow_from")[40, 40]), uphill, delta=12)
            summary = json.loads((out / "summary.json").read_text())
            [field] = summary["fields"]
            self.assertAlmostEqual(field["flow_mean_from_deg"], uphill, delta=12)
            low = {name: values["low_cold_in_kw"] for name, values in field["sides"].items()}
            # The rest comes in over faces near the two corners, where the border looks to the next sides.
            self.assertGreater(sum(low[name] for name in side), 0.75 * sum(low.values()))
            opposite = ["N", "NE", "E", "SE", "S", "SW", "W", "NW"][round(uphill / 45 + 4) % 8]
            self.assertLess(low[opposite], 0.02 * sum(low.values()))
            for total, part in (("cold_air_in_m3_s", "air_in_m3_s"), ("cold_out_kw", "cold_out_kw")):
                parts = sum(values[part] for values in field["sides"].values())
                self.assertAlmostEqual(field[total], parts, delta=1e-5 * parts)
            self.assertIn("A: ", self.result.stdout)
            for values, _ in self.layer("flow_arrows"):
                self.assertAlmostEqual((values["goes_to_deg"] - values["comes_from_deg"]) % 360, 180, places=6)
            for values, line in self.layer("cold_paths"):
                first, last = line.GetPoint(0), line.GetPoint(line.GetPointCount() - 1)
                self.assertGreater(east * (last[0] - first[0]) - south * (last[1] - first[1]), 0)

    def test_spots_agree_with_the_maps(self):
        spots = '[spots]\nat = "Gate: 500081, 4399919; \\"Pond\\", west: 500021, 4399979"\n'
        out = self.night(slope(0.02, 0.05), 'hours_below = "40 degF, 35.5 degF"\nplant_height = "2 m"\n' + spots, night=NIGHT)
        with (out / "spots.csv").open(encoding="utf-8") as table:
            rows = list(csv.DictReader(table))
        self.assertEqual(list(rows[0]), ["time_local", "time_utc", "spot", "temperature_degF", "cold_depth_ft",
                                         "flow_speed_mph", "flow_comes_from_deg"])
        self.assertEqual({row["spot"] for row in rows}, {"Gate", '"Pond", west'})
        gate = [row for row in rows if row["spot"] == "Gate"]
        self.assertRegex(gate[0]["time_local"], r"^2026-04-18 19:\d\d$")
        self.assertRegex(gate[0]["time_utc"], r"^2026-04-19T00:\d\dZ$")
        self.assertRegex(gate[-1]["time_local"], r"^2026-04-19 05:\d\d$")
        celsius = [(float(row["temperature_degF"]) - 32) / 1.8 for row in gate]
        self.assertAlmostEqual(min(celsius), float(self.raster("night_low")[40, 40]), delta=0.02)
        self.assertAlmostEqual(float(gate[-1]["cold_depth_ft"]) * 0.3048, float(self.raster("cold_depth")[40, 40]),
                               delta=0.02)
        # The hours below a temperature, counted from the table itself.
        for name, limit in (("hours_below_40_degf", 40), ("hours_below_35_5_degf", 35.5)):
            f = [float(row["temperature_degF"]) - limit for row in gate]
            hours = sum(0.25 * (1 if max(a, b) < 0 else 0 if min(a, b) > 0 else -min(a, b) / abs(a - b))
                        for a, b in zip(f[:-2], f[1:-1]))  # the last interval may be shorter
            self.assertLess(abs(float(self.raster(name)[40, 40]) - hours), 0.26)
            self.assertGreater(hours, 1)
        summary = json.loads((out / "summary.json").read_text())
        record = next(s for s in summary["spots"] if s["name"] == "Gate")
        self.assertAlmostEqual(record["lowest_c"], min(celsius), delta=0.01)
        self.assertAlmostEqual(record["hours_below_40_degf_h"], float(self.raster("hours_below_40_degf")[40, 40]),
                               places=4)
        self.assertEqual(record["position"]["x"], 500081)
        self.assertEqual(len(self.layer("spots")), 2)
        self.assertRegex(self.result.stdout, r"\nGate +[\d.]+  0[0-6]:\d\d ")

    def test_flow_of_an_hour(self):
        self.night(slope(0.02, 0.05), 'flow_hour = "23:10"\n')
        summary = json.loads((self.folder / "results/summary.json").read_text())
        self.assertRegex(summary["parts"]["night"]["flow_mapped"], r"^at 23:(0[3-9]|1[0-7])$")
        self.assertFalse((self.folder / "results/spots.csv").exists())
        names = ["sites.gpkg"] + [f"rasters/{n}.tif" for n in ("flow_speed", "flow_from", "hours_below_32_degf")]
        kept = {name: (self.folder / "results" / name).read_bytes() for name in names}
        again = self.lielow("run", "farm.toml", "--only", "night", "--out", "results", "--quiet", "--threads", 1)
        self.assertEqual(again.returncode, 0, again.stderr)
        for name in names:
            self.assertEqual((self.folder / "results" / name).read_bytes(), kept[name], name)

    def test_tells_of_air_from_beyond_the_edge(self):
        write_polygon(self.folder / "f.gpkg", FIELD, name="A")
        self.night(slope(0.05, 0.0), fields=True)  # nothing but slope between the field and the edge
        caution = next(line for line in self.result.stdout.splitlines() if "beyond the DEM's edge" in line)
        self.assertRegex(caution, r"\d+ % into A\.")
        y, x = numpy.mgrid[0:80, 0:80]
        ring = numpy.hypot(x - 40, y - 40) / 26  # a hollow within a round ridge that lies inside the ground
        self.night((100 - 4 * numpy.cos(numpy.pi * ring)).astype("float32"), fields=True)
        self.assertNotIn("beyond the DEM's edge", self.result.stdout)


if __name__ == "__main__":
    main(__doc__)
