#!/usr/bin/python3
# SPDX-License-Identifier: Apache-2.0
"""Numbers of the night fitted to loggers: twins whose truth is known, and input that can't be right.

Usage: test_tune.py LIELOW [unittest's own arguments]. Needs Debian's python3-gdal, python3-numpy, python3-xarray and
python3-netcdf4.
"""
import csv
import json
import os
import signal
import subprocess
import time
import tomllib

import numpy
import xarray
from cli_case import Cli, main, write_dem

SPOTS = {"Bench": (500040, 4399940), "Gate": (500110, 4399900), "Knoll": (500180, 4399960), "Pond": (500260, 4399830),
         "Lane": (500300, 4399930), "Shed": (500070, 4399800)}
LOSS, MIXING = 18.0, 0.05  # the truth
NOISE_K = 0.2
RANGES = '"night.heat_loss" = ["8 W/m2", "30 W/m2"]\n"night.mixing" = ["0.02 m2/s", "0.12 m2/s"]\n'


def valley(rows=110, cols=160):
    """A valley that falls to the east, with a dam that holds a pool; cells of 2 m."""
    y, x = numpy.mgrid[0:rows, 0:cols].astype("float32")
    dam = 4 * numpy.exp(-(((x - 140) / 6) ** 2)) * (numpy.abs(y - 80) < 30)
    return (110 + 14 * numpy.abs(y - 80) / rows - 0.03 * x + dam).astype("float32")


class Tune(Cli):
    def write_twin(self, ranges=RANGES, tune="", night=""):
        write_dem(self.folder / "dem.tif", valley())
        spots = "; ".join(f"{name}: {x}, {y}" for name, (x, y) in SPOTS.items())
        head = ('units = "si"\n[ground]\ndem = "dem.tif"\n[spots]\nat = "' + spots + '"\n'
                '[night]\ndate = 2026-04-18\nevening_air = "9 degC"\ncell = "20 m"\nsheets = 6\n')
        (self.folder / "truth.toml").write_text(head + f'heat_loss = "{LOSS} W/m2"\nmixing = "{MIXING} m2/s"\n')
        (self.folder / "farm.toml").write_text(
            head + night + '[tune]\nrecords = "loggers.csv"\ntrials = 8\n' + tune + "[tune.ranges]\n" + ranges)

    def run_truth(self):
        result = self.lielow("run", "truth.toml", "--only", "night", "--out", "truth", "--quiet")
        self.assertEqual(result.returncode, 0, result.stderr)
        with (self.folder / "truth/spots.csv").open(encoding="utf-8") as table:
            return list(csv.DictReader(table))

    def write_loggers(self, rows, noise=NOISE_K, seed=7, name="loggers.csv"):
        random = numpy.random.default_rng(seed)
        lines = ["spot,time,temperature_degC,flag"]
        for row in rows:
            t = float(row["temperature_degC"]) + noise * random.standard_normal()
            lines.append(f"{row['spot']},{row['time_utc']},{t:.3f},")
        (self.folder / name).write_text("\n".join(lines) + "\n")
        return lines

    def tune(self, out="tuned", threads="2", site="farm.toml"):
        result = self.lielow("tune", site, "--out", out, "--quiet", env={**os.environ, "OMP_NUM_THREADS": threads})
        self.assertEqual(result.returncode, 0, result.stderr)
        return result, json.loads((self.folder / out / "tune.json").read_text())

    def test_twin_gives_its_parameters_back(self):
        self.write_twin(tune='sensitivity = "morris"\npaths = 2\n')
        truth = self.run_truth()
        self.write_loggers(truth)
        result, told = self.tune()
        mixing, loss = told["parameters"]  # in the order of the keys' table
        for parameter, true, key in ((loss, LOSS, "night.heat_loss"), (mixing, MIXING, "night.mixing")):
            self.assertEqual(parameter["key"], key)
            print(f"{key}: true {true}, tuned {parameter['value']} +- {parameter['standard_error']}")
            self.assertLess(abs(parameter["value"] - true), 3 * parameter["standard_error"])
            self.assertLess(parameter["standard_error"], 0.1 * true)  # else that would say nothing
            self.assertGreater(parameter["elementary_effect_on_rms_k"]["mean_absolute"], 0.05)
        self.assertTrue(told["settled"])
        # What is left is the noise: n = 250 or so, so its root mean square is known to 5 %.
        self.assertAlmostEqual(told["rms_k"], NOISE_K, delta=0.15 * NOISE_K)
        self.assertLess(abs(told["lag_one_correlation"]), 0.2)
        self.assertLess(told["rms_k"], told["rms_best_of_design_k"])
        print(f"left out: model {told['left_out_model_rms_k']} K, line {told['left_out_straight_line_rms_k']} K")
        self.assertLess(told["left_out_model_rms_k"], 0.8 * told["left_out_straight_line_rms_k"])
        self.assertLess(told["left_out_model_rms_k"], 1.2 * NOISE_K)
        self.assertIn("night.heat_loss", result.stdout)
        self.assertIn("tells more than elevation alone", result.stdout)
        tuned = tomllib.loads((self.folder / "tuned/tuned.toml").read_text())["night"]
        self.assertAlmostEqual(float(tuned["heat_loss"].split()[0]), loss["value"], places=3)
        self.assertRegex(tuned["mixing"], r"^0\.0\d+ m2/s$")
        self.check_runs(told, truth)

    def check_runs(self, told, truth):
        with xarray.open_dataset(self.folder / "tuned/runs.nc") as runs:
            self.assertEqual(dict(runs.sizes)["run"], told["runs"])
            self.assertEqual(runs["temperature"].dims, ("run", "logger", "time"))
            left = (runs["temperature"] - runs["measured"]).isel(run=told["tuned_run"])
            self.assertAlmostEqual(float(numpy.sqrt((left ** 2).mean())), told["rms_k"], delta=0.02)
            tuned = float(runs["night_mixing"][told["tuned_run"]])
            self.assertAlmostEqual(tuned, told["parameters"][0]["value"], places=6)
            self.assertTrue(numpy.isnan(runs["night_mixing"][0]))  # the site file's own
            self.assertEqual(int((runs["stage"] == 1).sum()), 8)
            self.assertEqual(str(runs["time"].dtype), "datetime64[ns]")
            # Two parameters fitted to n readings leave the fitted curve off by noise x sqrt(2 / n), root mean square.
            moments = runs.sizes["time"]
            true = numpy.array([float(row["temperature_degC"]) for row in truth]).reshape(len(SPOTS), -1)[:, :moments]
            near = runs["temperature"].isel(run=told["tuned_run"]).values
            off = float(numpy.sqrt(numpy.mean((near - true) ** 2)))
            print(f"tuned night against the true one: {off:.3f} K")
            self.assertLess(off, 3 * NOISE_K * numpy.sqrt(2 / told["readings"]))

    def test_tuned_file_gives_the_same_night_and_threads_dont_matter(self):
        self.write_twin(ranges='"night.heat_loss" = ["8 W/m2", "30 W/m2"]\n',
                        night=f'heat_loss = "{LOSS} W/m2"\nmixing = "{MIXING} m2/s"\n', tune='design = "latin"\n')
        truth = self.run_truth()
        self.write_loggers(truth, noise=0)
        _, told = self.tune("one", "1")
        self.tune("two", "2")
        for name in ("tuned.toml", "tune.json", "runs.nc"):
            self.assertEqual((self.folder / "one" / name).read_bytes(), (self.folder / "two" / name).read_bytes(), name)
        # The trials' nights are those of a run: at the truth only the minutes and hundredths of spots.csv are left.
        self.assertLess(told["rms_of_site_file_k"], 0.02)
        self.assertAlmostEqual(told["parameters"][0]["value"], LOSS, delta=0.1)

    def test_other_columns_clocks_and_flags(self):
        self.write_twin(ranges='night.heat_loss = ["8 W/m2", "30 W/m2"]\n', tune='design = "grid"\n')
        truth = self.run_truth()
        self.write_loggers(truth, noise=0)
        _, plain = self.tune("plain")
        lines = ["x;y;time_local;temperature_degF;flag"]  # by position, local clock, Fahrenheit, some bad
        for i, row in enumerate(truth):
            x, y = SPOTS[row["spot"]]
            bad = i % 10 == 3
            fahrenheit = 99.0 if bad else float(row["temperature_degC"]) * 1.8 + 32
            flag = ("drift" if i % 20 == 3 else "bad") if bad else "ok"
            lines.append(f"{x};{y};{row['time_local'].replace(' ', 'T')};{fahrenheit:.3f};{flag}")
        lines.append(f"{x};{y};2026-04-18T12:00;60;ok")
        (self.folder / "loggers.csv").write_text("\n".join(lines) + "\n")
        _, other = self.tune("other")
        self.assertAlmostEqual(other["parameters"][0]["value"], plain["parameters"][0]["value"], delta=0.1)
        self.assertLess(other["readings"], plain["readings"])
        notes = " ".join(other["notes"])
        for words in ("flagged as bad", "outside the night", "flagged as drifting: "):
            self.assertIn(words, notes)

    def test_within_wider_ground_with_shares_of_variance(self):
        """Coarse cells, so that many nights cost little: the truth and the trials both run within ground.around."""
        self.write_twin(tune='design = "latin"\nsensitivity = "variance"\npaths = 16\n')
        y, x = numpy.mgrid[0:40, 0:52].astype("float32")
        write_dem(self.folder / "wide.tif", 112 + 0.2 * numpy.abs(y - 16) - 0.15 * x, cell=10, east=499900, north=4400090)
        for name in ("truth.toml", "farm.toml"):
            site = self.folder / name
            site.write_text(site.read_text().replace('dem = "dem.tif"', 'dem = "dem.tif"\naround = "wide.tif"')
                            .replace('cell = "20 m"', 'cell = "40 m"'))
        self.write_loggers(self.run_truth(), noise=0.05)
        _, told = self.tune()
        self.assertIn("ground.around", [read["key"] for read in told["inputs"]])
        for parameter, true in zip(told["parameters"], (MIXING, LOSS)):
            self.assertLess(abs(parameter["value"] - true), 3.5 * parameter["standard_error"])
            share = parameter["share_of_rms_variance"]
            print(f"{parameter['key']}: {parameter['value']} +- {parameter['standard_error']}, of the variance {share}")
            # Of 16 base samples the shares are rough, those of a parameter alone most of all.
            self.assertTrue(numpy.isfinite(share["first"]) and 0.1 < share["total"] < 1.5)
        self.assertGreater(sum(p["share_of_rms_variance"]["total"] for p in told["parameters"]), 0.7)

    def refused(self, *words, **twin):
        self.write_twin(**twin)
        result = self.lielow("tune", "farm.toml", "--out", "tuned", "--quiet")
        self.assert_refused(result, *words)
        self.assertFalse((self.folder / "tuned").exists())

    def test_bad_ranges(self):
        (self.folder / "loggers.csv").write_text("spot,time,temperature_degC\nGate,2026-04-19T03:00Z,4\n")
        self.refused("farm.toml, line", "night.mixing from 0.1 m2/s to 0.02 m2/s is upside down",
                     ranges='"night.mixing" = ["0.1 m2/s", "0.02 m2/s"]\n')
        self.refused("night.mixin can't be tuned", "night.mixing", ranges='"night.mixin" = ["0.1 m2/s", "0.2 m2/s"]\n')
        self.refused("night.cell can't be tuned", ranges='"night.cell" = ["10 m", "20 m"]\n')
        self.refused("must be a pair", ranges='"night.mixing" = "0.1 m2/s"\n')
        self.refused("out of range", "night.mixing", ranges='"night.mixing" = ["0.1 m2/s", "20 m2/s"]\n')
        self.refused("night.air_share has no say", "constant", ranges='"night.air_share" = [0.3, 0.7]\n')
        self.refused("night.calm_friction_velocity has no say",
                     ranges='"night.calm_friction_velocity" = ["0.03 m/s", "0.1 m/s"]\n')
        self.refused("tune.ranges is empty", ranges="")
        self.refused("tune.tials", "tune.trials", tune="tials = 3\n")

    def test_bad_records(self):
        head = "spot,time,temperature_degC\n"
        good = "Gate,2026-04-19T03:00Z,4\n"
        for text, words in (
                (head + "Mill,2026-04-19T03:00Z,4\n", ["row 1 below the header", '"Mill" is none of the site\'s spots']),
                ("x,y,time,temperature_degC\n400000,4399900,2026-04-19T03:00Z,4\n", ["no ground at logger", "CRS"]),
                (head + "Gate,2026-04-25T03:00Z,4\n", ["no good reading within the night of 2026-04-18"]),
                ("spot,time,temperature\n" + good, ['"temperature" must name its unit']),
                ("spot,temperature_degC\nGate,4\n", ['no column "time"']),
                (head + "Gate,2026-04-19T03:00Z,44\nGate,2026-04-19T04:00Z,41.5\n", ["degrees Fahrenheit"]),
                (head + "Gate,2026-04-19T03:00Z,-99\n", ["row 1", "is no air temperature"]),
                (head + "Gate,yesterday,4\n", ["row 1", '"yesterday" is no time']),
                (head + good + good, ['"Gate" has two readings']),
                (head + good, ["can't tell 2 parameters apart"])):
            (self.folder / "loggers.csv").write_text(text)
            self.refused("loggers.csv", *words)
        (self.folder / "loggers.csv").unlink()
        self.refused("there is no table", "loggers.csv")
        (self.folder / "farm.toml").write_text((self.folder / "truth.toml").read_text())
        self.assert_refused(self.lielow("tune", "farm.toml", "--quiet"), "tune.records is missing")

    def test_stop_leaves_nothing(self):
        self.write_twin(tune="")
        (self.folder / "farm.toml").write_text(
            (self.folder / "farm.toml").read_text().replace("trials = 8", "trials = 10000"))
        self.write_loggers(self.run_truth())
        with subprocess.Popen([self.program, "tune", "farm.toml", "--out", "tuned"], cwd=self.folder,
                              stderr=subprocess.PIPE, stdout=subprocess.PIPE, text=True) as running:
            while "first trials" not in (line := running.stderr.readline()):
                self.assertNotEqual(line, "")
            time.sleep(0.3)
            running.send_signal(signal.SIGINT)
            out, errors = running.communicate(timeout=60)
        self.assertEqual(running.returncode, 1)
        self.assertEqual(out, "")
        self.assertIn("stopped on request", errors)
        self.assertFalse((self.folder / "tuned").exists())


if __name__ == "__main__":
    main(__doc__)
