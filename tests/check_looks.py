#!/usr/bin/python3
# SPDX-License-Identifier: Apache-2.0
"""Checks tools/looks.toml: its ramps against matplotlib, their lightness, and that every raster has a look that stands."""
import pathlib
import re
import sys
import unittest

import matplotlib
import numpy as np
from skimage import color

PROJECT = pathlib.Path(__file__).resolve().parent.parent
sys.path.insert(0, str(PROJECT / "tools"))
import picture_looks  # noqa: E402

RAMPS = picture_looks.TABLE["ramps"]
# Of 255, the greatest difference of a channel between the stops: matplotlib's own table has 256 colours (twilight 510), in
# which cividis turns sharply at its blue; ColorBrewer's colours are few, and matplotlib runs straight between them, too.
BETWEEN_STOPS = {"cividis": 5.7, "viridis": 1.8, "plasma": 3.1, "twilight": 1.4, "YlGnBu": 0.01, "RdBu": 0.01, "PuOr": 0.01,
                 "BrBG": 0.01}
FIRST = {"YlGnBu": 1 / 8}  # where ours begins


def theirs(name):
    """Shares of the way and matplotlib's colours there, exact ones of its tables or of its straight runs."""
    whole = matplotlib.colormaps[name]
    if hasattr(whole, "colors"):
        return np.linspace(0, 1, len(whole.colors)), np.array(whole.colors)
    run = {c: np.array(whole._segmentdata[c]) for c in ("red", "green", "blue")}
    shares = np.linspace(0, 1, 881)
    return shares, np.stack([np.interp(shares, r[:, 0], r[:, 1]) for r in run.values()], axis=1)


class Ramps(unittest.TestCase):
    def test_agree_with_matplotlib(self):
        self.assertEqual(set(BETWEEN_STOPS), set(RAMPS))
        for name in RAMPS:
            shares, colours = theirs(name)
            first = FIRST.get(name, 0)
            inside = shares >= first
            stops = picture_looks.stops_of(name)
            ours = picture_looks.along(stops, (shares[inside] - first) / (1 - first))
            self.assertLessEqual(np.abs(ours - colours[inside]).max() * 255, 0.5 + BETWEEN_STOPS[name], name)
            places = first + (1 - first) * np.linspace(0, 1, len(stops))
            at_stops = np.stack([np.interp(places, shares, colours[:, c]) for c in range(3)], axis=1)
            self.assertLessEqual(np.abs(stops - at_stops).max() * 255, 0.501, f"{name} at its stops")

    def test_lightness_is_that_of_scikit_image(self):
        for name in RAMPS:
            stops = picture_looks.stops_of(name)
            np.testing.assert_allclose(picture_looks.lightness(stops), color.rgb2lab(stops[None])[0, :, 0], atol=0.01)

    def test_lightness_goes_one_way_or_up_and_down(self):
        fine = np.linspace(0, 1, 1001)
        for name, ramp in RAMPS.items():
            step = np.diff(picture_looks.lightness(picture_looks.along(picture_looks.stops_of(name), fine)))
            if ramp["kind"] == "sequential":
                self.assertTrue((step > 0).all() or (step < 0).all(), name)
            elif ramp["kind"] == "diverging":
                self.assertTrue((step[:500] > 0).all() and (step[500:] < 0).all(), name)
            else:
                stops = picture_looks.stops_of(name)
                np.testing.assert_array_equal(stops[0], stops[-1], name)

    def test_classes_of_a_look_can_be_told_apart_by_lightness(self):
        for name, look in picture_looks.LOOKS.items():
            if look.quantity == "class" or RAMPS[look.ramp]["kind"] != "sequential":
                continue
            for units in picture_looks.UNITS:
                count = len(look.limits_in(units)) - 1 if look.limits else 7
                steps = np.abs(np.diff(picture_looks.lightness(picture_looks.class_colours(look, count))))
                self.assertGreater(steps.min(), 6, name)
                self.assertLess(np.ptp(steps), 0.01, name)


class Looks(unittest.TestCase):
    def test_every_raster_of_the_readme_has_a_look(self):
        readme = (PROJECT / "README.md").read_text(encoding="utf-8")
        cells = re.findall(r"(?m)^\| (`[a-z0-9_]+`(?:, `[a-z0-9_]+`)*) \|", readme)
        named = {name for cell in cells for name in re.findall("`([^`]+)`", cell)}
        self.assertEqual(named | {"upslope_area"}, set(picture_looks.LOOKS))  # that one is lielow wide's

    def test_every_look_has_words_a_unit_a_ramp_and_rising_limits(self):
        for name, look in picture_looks.LOOKS.items():
            self.assertTrue(look.title and look.label, name)
            self.assertIn(look.quantity, picture_looks.TABLE["units"], name)
            self.assertIn(look.ramp, RAMPS, name)
            for limits in (look.limits, look.limits_si):
                self.assertTrue((np.diff(limits) > 0).all(), name)

    def test_words(self):
        below = picture_looks.look_of("hours_below_minus_2_5_degc")
        self.assertEqual(below.title, "Hours of the night below −2.5 °C")
        self.assertEqual(below.legend("h"), "time below −2.5 °C (h); grey: none")
        self.assertEqual(picture_looks.look_of("hours_below_32_degf").label, "time below 32 °F")
        self.assertEqual(picture_looks.look_of("unheard_of").label, "value")

    def test_what_is_not_drawn(self):
        storm, change = picture_looks.LOOKS["storm_depth"], picture_looks.LOOKS["night_low_change"]
        np.testing.assert_array_equal(np.isnan(storm.drawn(np.array([0, 0.01, 0.011]))), [True, True, False])
        np.testing.assert_array_equal(np.isnan(change.drawn(np.array([-0.06, -0.05, 0, 0.05, 0.06]))),
                                      [False, True, True, True, False])


if __name__ == "__main__":
    unittest.main(verbosity=2)
