#!/usr/bin/python3
# SPDX-License-Identifier: Apache-2.0
"""On real ground a nested farm's night is far closer to the whole ground's than the farm's alone.

Usage: check_nest.py NEST_STUDY
Runs a small part of tools/nest_figures.py and prints what it measured. Ground that cannot be had is left out; nothing
at all to run on is status 77.
"""
import pathlib
import sys
import tempfile

PROJECT = pathlib.Path(__file__).resolve().parent.parent
sys.path.insert(0, str(PROJECT / "tools"))
import nest_figures  # noqa: E402

CASES = (("ridges", "jacksboro_utm", 96, "3", "2,4", ("0.5",)), ("cone", "volcano", 48, "1", "2,4", ("0.5",)))
AT_MOST = 0.4  # of the error of the farm alone


def main():
    if len(sys.argv) != 2:
        sys.exit(__doc__)
    with tempfile.TemporaryDirectory() as folder:
        table = nest_figures.measure(sys.argv[1], pathlib.Path(folder), CASES)
    print(nest_figures.HEAD + table)
    if not table:
        sys.exit(77)
    errors = {}
    for line in table.splitlines():
        ground, _, _, edges, rms, *_ = (part.strip() for part in line.strip("|").split("|"))
        errors.setdefault(ground, {})[edges] = float(rms)
    for ground, of in errors.items():
        for edges in (name for name in of if name.startswith("nested")):
            if not of[edges] < AT_MOST * of["alone, far field"]:
                sys.exit(f"{ground}: {edges}: {of[edges]} K against {of['alone, far field']} K alone")


if __name__ == "__main__":
    main()
