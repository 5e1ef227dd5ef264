#!/usr/bin/python3
# SPDX-License-Identifier: Apache-2.0
"""The Python module: the command line's own results, and the solver stepped by hand.

Usage: test_python.py LIELOW FOLDER-OF-THE-MODULE [unittest's own arguments]. Needs Debian's python3-gdal, numpy.
"""
import os
import pathlib
import signal
import sys
import threading
import time

import numpy as np

from cli_case import Cli, main

sys.path.insert(0, sys.argv.pop(2))
import lielow  # noqa: E402


class Stack(Cli):
    def dam_break(self, cells=400):
        stack = lielow.Stack(np.zeros((1, cells)), 10 / cells, 1.0)
        stack.set_thickness(0, np.where(np.arange(cells) < cells // 2, 0.005, 0.0)[None])
        return stack

    def test_dam_break_on_dry_ground(self):
        # Ritter 1892: h = (2c - x/t)^2 / 9g between -c t and 2 c t of the dam, c = sqrt(g h0).
        stack = self.dam_break()
        stack.run_until(6.0)
        self.assertEqual(stack.time, 6.0)
        x = (np.arange(400) + 0.5) / 40 - 5
        c = np.sqrt(9.81 * 0.005)
        exact = np.clip((2 * c - x / 6) / 3, 0, c) ** 2 / 9.81
        error = np.abs(stack.thickness[0, 0] - exact).mean() / 0.005
        self.assertLess(error, 0.004)
        self.assertAlmostEqual(stack.budget()["volume_m3"], 0.025, delta=1e-15)

    def test_views_are_the_solvers_own_memory(self):
        stack = lielow.Stack(np.zeros((4, 6)), 1.0, 1.0, [0.1, 0.2, 0.3], order=1)
        self.assertEqual(stack.thickness.shape, (4, 3, 6))
        self.assertEqual(stack.velocity_x.shape, (4, 3, 7))
        self.assertEqual(stack.velocity_y.shape, (5, 3, 6))
        view = stack.thickness
        self.assertTrue(np.shares_memory(view, stack.thickness))
        values = np.arange(24.0).reshape(4, 6)
        stack.set_thickness(1, values)
        np.testing.assert_array_equal(view[:, 1, :], values)  # asked for before the values were set
        self.assertEqual(view[:, 0].max() + view[:, 2].max(), 0)
        with self.assertRaises(ValueError):
            view[0, 0, 0] = 1
        del stack
        np.testing.assert_array_equal(view[:, 1, :], values)  # kept alive by the view

    def test_interrupt_stops_a_run_that_can_go_on(self):
        stack = self.dam_break(4000)
        threading.Timer(0.3, os.kill, (os.getpid(), signal.SIGINT)).start()
        with self.assertRaises(KeyboardInterrupt):
            stack.run_until(1e6)
        before = stack.time
        self.assertGreater(before, 0)
        stack.step(1.0)
        self.assertGreater(stack.time, before)

    def test_other_threads_run_meanwhile(self):
        beats = []
        done = threading.Event()

        def beat():
            while not done.is_set():
                beats.append(time.monotonic())
                time.sleep(0.01)
        thread = threading.Thread(target=beat)
        stack = self.dam_break(20000)
        thread.start()
        begun = time.monotonic()
        stack.run_until(0.3)
        ended = time.monotonic()
        done.set()
        thread.join()
        self.assertGreater(sum(begun < b < ended for b in beats), 3)

    def test_wrong_input_is_a_value_error_in_one_line(self):
        flat = np.zeros((3, 3))
        for words, call in (
                ("edges 'sea' isn't known; there are: open, wall", lambda: lielow.Stack(flat, 1, 1, edges="sea")),
                ("ground must be an array of rows and columns", lambda: lielow.Stack(flat[0], 1, 1)),
                ("order must be 1 or 2", lambda: lielow.Stack(flat, 1, 1, order=3)),
                ("thickness must be an array of 3 rows and 3 columns",
                 lambda: lielow.Stack(flat, 1, 1).set_thickness(0, np.zeros((2, 3)))),
                ("there is no sheet 1", lambda: lielow.Stack(flat, 1, 1).set_thickness(1, flat)),
                ("may be negative", lambda: lielow.Stack(flat, 1, 1).set_thickness(0, flat - 1)),
                ("unknown section [nigth]; the nearest known one is [night]",
                 lambda: lielow.check({"ground": {"dem": "d.tif"}, "nigth": {"cloud": 0.1}})),
                ("night.cloud: a site holds texts, numbers, truth values, dates and dicts, not list",
                 lambda: lielow.check({"ground": {"dem": "d.tif"}, "night": {"cloud": [0.1]}}))):
            with self.assertRaises(ValueError) as caught:
                call()
            self.assertIn(words, str(caught.exception))
            self.assertNotIn("\n", str(caught.exception))


class Night(Cli):
    """A flat plain cools as conduction at constant flux lets it; a hollow is colder."""
    def bowl(self):
        y, x = np.mgrid[0:20, 0:20]
        return (100 + 0.05 * np.hypot(x - 9.5, y - 9.5) * 10).astype("float32")

    def test_flat_ground_against_conduction(self):
        # Carslaw & Jaeger 1959, section 2.9: at the surface 2 q sqrt(t / (pi K)); q = Q / (rho cp), here by what the heat
        # missing from all sheets comes to.
        night = lielow.Night(np.full((12, 12), 100.0), 10, 10, duration_s=7200, heat_loss_w_m2=15, edges="wall", cell_m=10,
                             plant_height_m=0)
        lowest = night.lowest()
        step = night.sheet_step_k
        colder = step * np.arange(1, night.sheets + 1)  # than the evening, sheet by sheet
        content = (night.thickness[5, :, 5] * colder).sum()  # K m
        q = content / 7200
        drop = 283.15 - 273.15 - lowest[5, 5]
        self.assertAlmostEqual(drop, 2 * q * np.sqrt(7200 / (np.pi * 0.04)), delta=0.05 * drop)
        self.assertLess(np.ptp(lowest), 1e-3)

    def test_stepped_by_hand_is_the_run(self):
        make = lambda: lielow.Night(self.bowl(), 10, 10, duration_s=3600, sheets=6, cell_m=10)  # noqa: E731
        whole, stepped = make(), make()
        lowest = whole.lowest().copy()
        for time in (100, 900, 2222, 3600):
            stepped.run_until(time)
            self.assertGreaterEqual(stepped.time, min(time, stepped.duration))
        self.assertTrue(stepped.is_over)
        self.assertEqual(stepped.thickness.shape, (20, 6, 20))
        self.assertEqual(stepped.velocity_y.shape, (21, 6, 20))
        np.testing.assert_array_equal(stepped.thickness, whole.thickness)
        np.testing.assert_array_equal(stepped.lowest(), lowest)
        self.assertLess(lowest[9, 9], lowest[0, 0] - 0.2)
        self.assertTrue(np.shares_memory(stepped.lowest(), stepped.lowest()))
        self.assertEqual(stepped.ground.shape, (20, 20))
        self.assertEqual(stepped.cell, (10, 10))

    def test_wrong_input(self):
        for words, call in (
                ("edges 'sea' isn't known", lambda: lielow.Night(self.bowl(), 10, 10, edges="sea")),
                ("larger than nothing", lambda: lielow.Night(self.bowl(), 0, 10)),
                ("no elevation", lambda: lielow.Night(np.full((3, 3), np.nan), 10, 10)),
                ("loses no heat", lambda: lielow.Night(self.bowl(), 10, 10, heat_loss_w_m2=0))):
            with self.assertRaisesRegex(ValueError, words):
                call()


class Site(Cli):
    def test_the_same_bytes_as_the_command_line(self):
        self.write_site('[water]\nstage = "3 ft"\nstorm = "2 in"\n')
        result = self.lielow("run", "farm.toml", "--only", "water", "--out", "by-command")
        self.assertEqual(result.returncode, 0, result.stderr)
        summary = lielow.run(self.folder / "farm.toml", self.folder / "by-file", only=["water"])
        self.assertAlmostEqual(summary["parts"]["water"]["stage_m"], 3 * 0.3048, delta=1e-12)
        lielow.run({"ground": {"dem": "dem.tif"}, "water": {"stage": "3 ft", "storm": "2 in"}},
                   self.folder / "by-dict", only=["water"], folder=self.folder)
        names = sorted(p.name for p in (self.folder / "by-command/rasters").iterdir()
                       if p.suffix != ".json")  # the catalogue's item tells the title, which comes from the file's name
        self.assertGreater(len(names), 4)
        for other in ("by-file", "by-dict"):
            for name in names:
                self.assertEqual((self.folder / "by-command/rasters" / name).read_bytes(),
                                 (self.folder / other / "rasters" / name).read_bytes(), f"{other} {name}")

    def test_settings_in_force(self):
        self.write_site('[night]\ncloud = 0.5\n')
        settings = lielow.check(self.folder / "farm.toml")
        self.assertEqual(settings["night.cloud"], ("0.5", "site file"))
        self.assertEqual(settings["units"][1], "default")

    def test_what_is_wrong_is_said(self):
        with self.assertRaisesRegex(ValueError, "there is no site file .*nowhere.toml"):
            lielow.run("nowhere.toml", self.folder / "out")
        self.assertFalse(pathlib.Path(self.folder / "out").exists())


if __name__ == "__main__":
    main(__doc__)
