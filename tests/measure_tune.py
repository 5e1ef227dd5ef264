#!/usr/bin/python3
# SPDX-License-Identifier: Apache-2.0
"""How often `lielow tune` holds the truth: twins with many draws of noise, each off by how many standard errors.

Usage: measure_tune.py LIELOW [NUMBER OF TWINS, default 30]. No test: it measures (some minutes). Night cells of 40 m.
"""
import pathlib
import sys
import unittest

sys.path.insert(0, str(pathlib.Path(__file__).parent / "cli"))
import numpy  # noqa: E402
import test_tune  # noqa: E402
from cli_case import Cli  # noqa: E402


class Twins(test_tune.Tune):
    number = 30

    def measure(self):
        self.write_twin()
        for name in ("truth.toml", "farm.toml"):
            site = self.folder / name
            site.write_text(site.read_text().replace('cell = "20 m"', 'cell = "40 m"'))
        truth = self.run_truth()
        off = []
        for seed in range(self.number):
            self.write_loggers(truth, seed=seed)
            _, told = self.tune()
            off.append([(p["value"] - true) / p["standard_error"]
                        for p, true in zip(told["parameters"], (test_tune.MIXING, test_tune.LOSS))])
        off = numpy.array(off)
        for key, column in zip(("night.mixing", "night.heat_loss"), off.T):
            print(f"{key}: off by {column.mean():.2f} standard errors in the mean, {column.std(ddof=1):.2f} about it; "
                  f"{numpy.mean(abs(column) < 2):.0%} of {self.number} twins within two")


if __name__ == "__main__":
    if len(sys.argv) < 2:
        sys.exit(__doc__)
    Cli.program = str(pathlib.Path(sys.argv[1]).resolve())
    if len(sys.argv) > 2:
        Twins.number = int(sys.argv[2])
    unittest.TextTestRunner().run(Twins("measure"))
