#!/usr/bin/python3
# SPDX-License-Identifier: Apache-2.0
"""The crop's maps, worked out again in Python from the night's own maps and the record; and what is refused.

Usage: test_crop.py LIELOW [unittest's own arguments]. Needs Debian's python3-gdal.
"""
import json
import statistics

import numpy
from osgeo import gdal, ogr

from cli_case import QUICK_NIGHT, Cli, main

COLD = QUICK_NIGHT.replace("48 degF", "44 degF")
CROP = '[crop]\nkind = "apple"\nstage = "full bloom"\n'
TENDER = 'tender_from = "04-10"\ntender_to = "04-12"\n'
STATION = '[station]\nrecord = "lows.csv"\n'
T10, T90 = (28 - 32) / 1.8, (25 - 32) / 1.8  # °C, Penn State Extension
LOWS = [31, 28, 36, 30, 27, 33, 29.5, 34, 30, 32, 38, 26.5]  # °F, the coldest of each spring's tender days


def record(lows, first=2001):
    """Three tender days each spring, and a colder one that is none."""
    lines = ["date,low_degF"]
    for year, low in enumerate(lows, first):
        lines += [f"{year}-04-09,20", f"{year}-04-10,{low + 3}", f"{year}-04-11,{low}", f"{year}-04-12,{low + 8}"]
    return "\n".join(lines) + "\n"


class Crop(Cli):
    def raster(self, name, out="out"):
        source = gdal.Open(str(self.folder / out / "rasters" / f"{name}.tif"))
        band = source.GetRasterBand(1)
        self.assertEqual(band.GetNoDataValue(), -9999)
        values = band.ReadAsArray().astype(float)
        values[values == -9999] = numpy.nan
        return values, band.GetUnitType()

    def run_night(self, text, *arguments):
        self.write_site(COLD + text)
        result = self.lielow("run", "farm.toml", "--only", "night", "--out", "out", "--quiet", *arguments)
        self.assertEqual(result.returncode, 0, result.stderr)
        return result.stdout, json.loads((self.folder / "out/summary.json").read_text())

    def test_losses_follow_the_night(self):
        text, summary = self.run_night(CROP)
        low, _ = self.raster("night_low")
        hours, unit = self.raster("frost_hours")
        self.assertEqual(unit, "h")
        loss, unit = self.raster("loss_share")
        self.assertEqual(unit, "1")
        part = summary["parts"]["night"]
        night_hours = part["length_s"] / 3600
        self.assertTrue(((hours >= 0) & (hours < night_hours)).all())
        # The lowest of the night is looked for between the samples too; a tenth of a kelvin covers it.
        self.assertTrue((hours[low > T10 + 0.1] == 0).all())
        self.assertTrue((hours[low < T10 - 0.1] > 0).all())
        self.assertGreater((hours > 0).mean(), 0.05)

        def curve(t):
            return 1 / (1 + 9.0 ** ((2 * t - T10 - T90) / (T10 - T90)))
        # The half hour's level is never below the low, and here (the air cools till sunrise) hardly above it.
        self.assertTrue((loss <= curve(low) + 1e-5).all())
        self.assertLess(numpy.abs(loss - curve(low)).mean(), 0.02)
        self.assertIn("apple at full bloom: half an hour at 28.0 °F kills 10 % of the flowers, at 25.0 °F 90 %", text)
        self.assertFalse((self.folder / "out/rasters/loss_years.tif").exists())
        self.assertEqual((part["crop_width"], part["crop_basis"]), ("published", "kill trials"))
        self.assertEqual(part["crop_figures_from_memory"], "no")
        field = summary["fields"][0]
        self.assertAlmostEqual(field["flowers_lost_share"], float(loss.mean()), 4)
        self.assertLess(field["flowers_lost_least_share"], field["flowers_lost_share"])
        self.assertGreater(field["flowers_lost_most_share"], field["flowers_lost_share"])

    def test_years_from_the_record(self):
        (self.folder / "lows.csv").write_text(record(LOWS))
        row, col = 20, 50
        place = f'place = "{500000 + 2 * (col + 0.5)}, {4400000 - 2 * (row + 0.5)}"\n'
        text, summary = self.run_night(CROP + TENDER + STATION + place)
        offset, _ = self.raster("night_offset")
        years, unit = self.raster("loss_years")
        self.assertEqual(unit, "year")
        fit = statistics.NormalDist(statistics.mean(LOWS), statistics.stdev(LOWS))
        shift = 1.8 * (offset - offset[row, col])
        share = numpy.vectorize(lambda d: fit.cdf(28 - d))(shift)
        self.assertTrue((numpy.isnan(years) == (share < 0.01))[numpy.abs(share - 0.01) > 1e-4].all())
        told = ~numpy.isnan(years)
        numpy.testing.assert_allclose(1 / years[told], share[told], atol=3e-4)
        self.assertAlmostEqual(1 / years[row, col], fit.cdf(28), 4)
        # The band: NIST/SEMATECH e-Handbook 7.2.6.3, its approximation solved for the share.
        z = (28 - shift - fit.mean) / fit.stdev
        half = 1.959964 * numpy.sqrt(1 / len(LOWS) + z**2 / (2 * (len(LOWS) - 1)))
        phi = numpy.vectorize(statistics.NormalDist().cdf)
        for name, expected in (("loss_years_low", phi(z + half)), ("loss_years_high", phi(z - half))):
            end, unit = self.raster(name)
            self.assertEqual(unit, "year")
            self.assertTrue((numpy.isnan(end) == (expected < 0.01))[numpy.abs(expected - 0.01) > 1e-3].all(), name)
            told = ~numpy.isnan(end)
            self.assertTrue(told.any(), name)
            numpy.testing.assert_allclose(1 / end[told], expected[told], atol=1e-3, err_msg=name)
        part = summary["parts"]["night"]
        self.assertEqual((part["station_springs"], part["station_damaging_springs"]), (12, 3))
        self.assertIn("the thermometer itself had 3 of 12", text)
        self.assertIn("no highs that would tell clear nights", text)
        median = summary["fields"][0]["damaging_springs_share"]
        self.assertAlmostEqual(median, float(numpy.median(share)), 3)
        self.assertAlmostEqual(summary["fields"][0]["risk_over_life_share"], 1 - (1 - median) ** 20, 6)
        at_median = numpy.abs(share - median).argmin()
        self.assertAlmostEqual(summary["fields"][0]["damaging_springs_low_share"], phi(z - half).flat[at_median], 2)
        self.assertAlmostEqual(summary["fields"][0]["damaging_springs_high_share"], phi(z + half).flat[at_median], 2)
        sites = ogr.Open(str(self.folder / "out/sites.gpkg"))  # must outlive what is taken from it
        columns = sites.GetLayerByName("fields").GetLayerDefn()
        names = {columns.GetFieldDefn(i).GetName() for i in range(columns.GetFieldCount())}
        self.assertLessEqual({"frost_hours_greatest_h", "loss_share_median", "loss_years_median_year"}, names)
        self.assertIn("station.record", {i["key"] for i in summary["inputs"]})

    def test_check_tells_the_crop_and_the_record(self):
        (self.folder / "lows.csv").write_text(record(LOWS[:7]).replace("2003-04-11,36\n", ""))
        self.write_site(COLD + CROP + TENDER + STATION + 'place = "0, 0"\n')
        result = self.lielow("check", "farm.toml")
        self.assertEqual(result.returncode, 0, result.stderr)
        self.assertRegex(result.stdout, r"Crop: apple at full bloom: 10 % .+ at 28.0 °F, 90 % at 25.0 °F \(kill trials: Penn State")
        self.assertIn("Station: 6 springs on record, at the reference spot; damaging at or below 28.0 °F.",
                      result.stdout)
        self.assertIn("too many of their days are missing: 2003", result.stdout)
        self.assertIn("only 6 whole springs", result.stdout)
        self.assertIn("the DEM has no ground at station.place (0, 0)", result.stdout)

    def test_figures_from_memory_and_practice_are_told(self):
        for kind, stage, words in (
            ("grape", "bud burst", ["only one temperature is published (kill trials)", "from memory", "Gardea 1987"]),
            ("blackberry", "full bloom", ["extension practice", "from memory"]),
            ("highbush blueberry", "full bloom", ["only one temperature is published (extension practice)"]),
        ):
            self.write_site(COLD + f'[crop]\nkind = "{kind}"\nstage = "{stage}"\n')
            result = self.lielow("check", "farm.toml")
            self.assertEqual(result.returncode, 0, result.stderr)
            for word in words:
                self.assertIn(word, result.stdout)
            note = "the critical temperatures stand in the table from memory"  # of needs there is a note of their own
            self.assertEqual(note in result.stdout, "from memory" in words)

    def test_what_is_refused(self):
        (self.folder / "lows.csv").write_text(record(LOWS[:4]))
        for text, words in (
            ('[crop]\nkind = "aple"\nstage = "full bloom"\n', ["crop.kind", 'nearest name in it is "apple"']),
            ('[crop]\nkind = "apple"\nstage = "bloom"\n', ["crop.stage", "full bloom"]),
            ('[crop]\nkind = "apple"\n', ["crop.stage is missing"]),
            (STATION, ["station.record needs crop.kind"]),
            (CROP + STATION, ["needs the tender days", 'tender_from = "04-12"']),
            (CROP + 'tender_from = "05-10"\ntender_to = "04-10"\n' + STATION, ["crop.tender_to comes before"]),
            (CROP + TENDER + 'degree_day_base = "40 degF"\n' + STATION, ["degree-days need"]),
            (CROP + TENDER + STATION, ["lows.csv holds 4 springs", "5 are the least"]),
            (CROP + TENDER + STATION.replace("lows", "none"), ["none.csv"]),
            (CROP + 'table = "none.toml"\n', ["none.toml"]),
        ):
            self.write_site(COLD + text)
            for command in (["check", "farm.toml"], ["run", "farm.toml"]):
                self.assert_refused(self.lielow(*command, "--quiet"), *words)

    def test_own_table_and_degree_days(self):
        (self.folder / "own.toml").write_text('[[crop]]\nname = "quince"\n[[crop.stage]]\nname = "full bloom"\n'
                                              'critical = "-2 degC"\nsource = "invented"\n')
        days = ["date,low_degC,high_degC"]
        for year in range(2001, 2007):
            days += [f"{year}-{month:02}-{day:02},{month + 0.1 * day},{month + 10}"
                     for month in (1, 2, 3, 4) for day in range(1, 29)]
        (self.folder / "lows.csv").write_text("\n".join(days) + "\n")
        self.write_site(COLD + '[crop]\nkind = "quince"\nstage = "full bloom"\ntable = "own.toml"\n'
                        'degree_day_base = "4 degC"\ntender_from_sum = "100 K"\ntender_to_sum = "200 K"\n' + STATION)
        result = self.lielow("check", "farm.toml")
        self.assertEqual(result.returncode, 0, result.stderr)
        self.assertIn("Crop: quince at full bloom: 10 % of the flowers die at 28.4 °F, 90 % at 25.4 °F (supposed)",
                      result.stdout)
        self.assertIn("Station: 6 springs on record", result.stdout)


if __name__ == "__main__":
    for module in (gdal, ogr):
        module.UseExceptions()
    main(__doc__)
