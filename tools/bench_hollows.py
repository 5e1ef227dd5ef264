#!/usr/bin/python3
# SPDX-License-Identifier: Apache-2.0
"""Hollows against scikit-image's reconstruction and Priority-Flood, on the same ground in the same run.

Prints cells a second and ratios. Each figure is the best of the rounds; the programs take turns, so that a busy machine
slows all of them alike. Needs a build with -DLIELOW_BENCHMARKS=ON; Debian's python3-skimage.

Usage: tools/bench_hollows.py [--build DIR] [--side N] [--rounds N] [--large]
"""

import argparse
import json
import os
import pathlib
import subprocess
import tempfile
import time

import numpy as np
from skimage.morphology import reconstruction

KINDS = {"fractal": 0, "noise": 1}  # as numbered in tests/bench/bench_hollows.cpp


def ground(build, kind, side):
    """The very ground that the benchmark makes: same generator, same seed."""
    with tempfile.NamedTemporaryFile() as file:
        program = build / "tests" / "flood_raw"
        subprocess.run([program, "make", kind, str(side), str(side), "1", file.name], check=True)
        return np.fromfile(file.name, np.float32).reshape(side, side)


def time_reconstruction(z):
    seed = np.full_like(z, z.max())
    for edge in (np.s_[0, :], np.s_[-1, :], np.s_[:, 0], np.s_[:, -1]):
        seed[edge] = z[edge]
    start = time.perf_counter()
    reconstruction(seed, z, method="erosion")
    return time.perf_counter() - start


def time_benchmark(build, name, kind, side):
    environment = dict(os.environ, LIELOW_BENCH_LARGE="1")
    pattern = f"^{name}/kind:{KINDS[kind]}/side:{side}/"
    program = build / "tests" / "bench" / "bench_hollows"
    command = [program, f"--benchmark_filter={pattern}", "--benchmark_format=json"]
    run = subprocess.run(command, check=True, capture_output=True, env=environment)
    return json.loads(run.stdout)["benchmarks"][0]["real_time"] / 1000  # the benchmark's unit is ms


def compare(build, side, rounds):
    print(f"{side} x {side} cells, {os.cpu_count()} processors, best of {rounds}; million cells a second")
    for kind in KINDS:
        z = ground(build, kind, side)
        ours, published, skimage = [], [], []
        for _ in range(rounds):
            ours.append(time_benchmark(build, "hollows", kind, side))
            skimage.append(time_reconstruction(z))
            published.append(time_benchmark(build, "published", kind, side))
        speeds = [z.size / min(times) / 1e6 for times in (ours, skimage, published)]
        print(
            f"{kind:8s} hollows {speeds[0]:6.1f}   scikit-image {speeds[1]:5.2f} (ratio {speeds[0] / speeds[1]:5.1f})"
            f"   Priority-Flood {speeds[2]:5.2f} (ratio {speeds[0] / speeds[2]:5.1f})"
        )


def growth(build):
    print("time a cell, ns, as the ground grows")
    for kind in KINDS:
        times = {side: time_benchmark(build, "hollows", kind, side) for side in (1000, 2000, 4000, 10000)}
        print(f"{kind:8s} " + "   ".join(f"{side}² {1e9 * t / side**2:6.1f}" for side, t in times.items()))


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--build", type=pathlib.Path, default=pathlib.Path("build"))
    parser.add_argument("--side", type=int, choices=(1000, 2000, 4000), default=2000)
    parser.add_argument("--rounds", type=int, default=3)
    parser.add_argument("--large", action="store_true", help="also show growth up to 10⁸ cells (minutes)")
    args = parser.parse_args()
    compare(args.build, args.side, args.rounds)
    if args.large:
        growth(args.build)


if __name__ == "__main__":
    main()
