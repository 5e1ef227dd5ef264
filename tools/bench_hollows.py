#!/usr/bin/python3
# SPDX-License-Identifier: Apache-2.0
"""Hollows against scikit-image's reconstruction and Priority-Flood, on the same ground in the same run.

Prints cells a second and ratios, by the clock with all threads and by processor time with one. Each figure is the best of
the rounds, and the programs take turns. On a busy machine trust the second: by the clock, other programs slow the one
that uses all processors more than the others. Needs a build with -DLIELOW_BENCHMARKS=ON; Debian's python3-skimage.

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
    """Seconds by the clock and of processor time."""
    seed = np.full_like(z, z.max())
    for edge in (np.s_[0, :], np.s_[-1, :], np.s_[:, 0], np.s_[:, -1]):
        seed[edge] = z[edge]
    clock, processor = time.perf_counter(), time.process_time()
    reconstruction(seed, z, method="erosion")
    return time.perf_counter() - clock, time.process_time() - processor


def time_benchmark(build, name, kind, side, threads=None):
    """Seconds by the clock and of the first thread's processor time."""
    environment = dict(os.environ, LIELOW_BENCH_LARGE="1")
    if threads:
        environment["OMP_NUM_THREADS"] = str(threads)
    pattern = f"^{name}/kind:{KINDS[kind]}/side:{side}/"
    program = build / "tests" / "bench" / "bench_hollows"
    command = [program, f"--benchmark_filter={pattern}", "--benchmark_format=json"]
    run = subprocess.run(command, check=True, capture_output=True, env=environment)
    result = json.loads(run.stdout)["benchmarks"][0]
    return result["real_time"] / 1000, result["cpu_time"] / 1000  # the benchmark's unit is ms


def print_speeds(label, cells, ours, skimage, published):
    speeds = [cells / time / 1e6 for time in (ours, skimage, published)]
    print(
        f"{label:32s} hollows {speeds[0]:6.1f}   scikit-image {speeds[1]:5.2f} (ratio {speeds[0] / speeds[1]:5.1f})"
        f"   Priority-Flood {speeds[2]:5.2f} (ratio {speeds[0] / speeds[2]:5.1f})"
    )


def compare(build, side, rounds):
    print(f"{side} x {side} cells, {os.cpu_count()} processors, best of {rounds}; million cells a second")
    for kind in KINDS:
        z = ground(build, kind, side)
        shared, single, published, skimage = [], [], [], []
        for _ in range(rounds):
            shared.append(time_benchmark(build, "hollows", kind, side))
            skimage.append(time_reconstruction(z))
            single.append(time_benchmark(build, "hollows", kind, side, threads=1))
            published.append(time_benchmark(build, "published", kind, side))
        clock = [min(pair[0] for pair in times) for times in (shared, skimage, published)]
        processor = [min(pair[1] for pair in times) for times in (single, skimage, published)]
        print_speeds(f"{kind}, clock, all threads", z.size, *clock)
        print_speeds(f"{kind}, processor, one thread", z.size, *processor)


def growth(build):
    print("processor time a cell with one thread, ns, as the ground grows")
    for kind in KINDS:
        times = {side: time_benchmark(build, "hollows", kind, side, threads=1)[1] for side in (1000, 2000, 4000, 10000)}
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
