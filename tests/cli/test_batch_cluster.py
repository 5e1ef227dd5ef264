#!/usr/bin/python3
# SPDX-License-Identifier: Apache-2.0
"""The recipes of docs/batch.md for GNU parallel and Slurm, really started: one task is killed, the rest is whole, and the
same call again runs that one alone. Slurm is one node without a cluster's authentication, for this test only.

Usage: test_batch_cluster.py LIELOW [unittest's own arguments]. Needs Debian's python3-gdal; exits with 77 where neither
parallel nor Slurm is installed, or Slurm's daemons can't run.
"""
import os
import pathlib
import shutil
import signal
import socket
import subprocess
import sys
import time
import unittest

from batch_case import FARMS, BatchCase, contents
from cli_case import Cli, rolling_ground, write_dem

STEPD = pathlib.Path("/usr/sbin/slurmstepd-wlm")


def wait_until(done, seconds, what):
    until = time.monotonic() + seconds
    while not done():
        if time.monotonic() > until:
            raise AssertionError(f"waited {seconds} s for {what}")
        time.sleep(0.05)


def free_ports(count):
    sockets = [socket.socket() for _ in range(count)]
    for one in sockets:
        one.bind(("", 0))
    ports = [one.getsockname()[1] for one in sockets]
    for one in sockets:
        one.close()
    return ports


class Recipe(BatchCase):
    def write_county_with_a_slow_farm(self):
        """The second farm takes long enough to be killed."""
        self.write_county()
        self.assertEqual(FARMS[1], "Birch")
        write_dem(self.folder / "1.tif", rolling_ground(700, 700), north=4401000)

    def process_of_row(self, row):
        """The one of this test's own `lielow batch --row`."""
        for entry in pathlib.Path("/proc").iterdir():
            if not entry.name.isdigit():
                continue
            try:
                words = (entry / "cmdline").read_bytes().split(b"\0")
                here = os.readlink(entry / "cwd") == str(self.folder)
            except OSError:
                continue
            if here and words[-3:-1] == [b"--row", str(row).encode()] and os.path.basename(words[0]) == b"lielow":
                return int(entry.name)
        return None

    def birch_is_running(self):
        return self.out(".part-Birch", "site.toml").exists()

    def check_only_birch_is_missing(self):
        self.assertFalse(self.out("Birch").exists())
        look = self.batch("--collect")
        self.assertIn("3 of 4 farms are done", look.stdout)

    def check_whole(self):
        """As if one call of `lielow batch` had run them all."""
        self.assertEqual(self.batch("--collect").returncode, 0)
        whole = contents(self.out())
        os.rename(self.out(), self.folder / "by_recipe")
        self.assertEqual(self.batch().returncode, 0)
        self.assertEqual(whole, contents(self.out()))


@unittest.skipUnless(shutil.which("parallel"), "GNU parallel isn't installed")
class Parallel(Recipe):
    def call(self, *more):
        return ["parallel", "--will-cite", "--jobs", "2", "--joblog", "tasks.log", *more, self.program, "batch",
                "county.csv", "--site", "base.toml", "--out", "out", "--only", "water", "--row", "{}", ":::", "1", "2", "3",
                "4"]

    def tasks(self):
        """Row and exit status or signal of each task that has ended, in that order."""
        lines = [line.split("\t") for line in (self.folder / "tasks.log").read_text().splitlines()[1:]]
        return [(int(line[8].split()[-1]), int(line[6]) or -int(line[7])) for line in lines]

    def test_killed_task_alone_runs_again(self):
        self.write_county_with_a_slow_farm()
        quiet = {"cwd": self.folder, "stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL}
        with subprocess.Popen(self.call(), **quiet) as run:
            wait_until(self.birch_is_running, 30, "Birch to start")
            os.kill(self.process_of_row(2), signal.SIGKILL)
            self.assertEqual(run.wait(60), 1)  # one task failed
        self.assertEqual(sorted(self.tasks())[1], (2, -9))
        self.check_only_birch_is_missing()
        subprocess.run(self.call("--resume-failed"), check=True, timeout=60, **quiet)
        self.assertEqual(len(self.tasks()), 5)
        self.assertEqual(self.tasks()[4], (2, 0))
        self.check_whole()


@unittest.skipUnless(shutil.which("sbatch") and shutil.which("slurmctld") and STEPD.exists(), "Slurm isn't installed")
class Slurm(Recipe):
    def setUp(self):
        super().setUp()
        if os.geteuid() != 0:
            self.skipTest("Slurm's daemon on a node must be started by root")
        self.place = self.folder / "slurm"
        (self.place / "state").mkdir(parents=True)
        (self.place / "spool").mkdir()
        self.host = socket.gethostname().split(".")[0]
        (self.place / "slurm.conf").write_text(self.settings())
        self.slurm = {"env": {**os.environ, "SLURM_CONF": str(self.place / "slurm.conf")}, "cwd": self.folder}
        self.start("slurmctld", "-D", "-f", self.place / "slurm.conf")
        self.start("slurmd", "-D", "-f", self.place / "slurm.conf", "-N", self.host, "-d", STEPD)
        try:
            wait_until(lambda: self.ask("sinfo", "-h", "-o", "%T") == "idle", 30, "the node")
        except AssertionError:
            logs = "".join(path.read_text()[-1500:] for path in self.place.glob("*.log"))
            self.skipTest("Slurm's daemons don't run here: " + logs)

    def settings(self):
        control, node = free_ports(2)
        return f"""ClusterName=test
SlurmctldHost={self.host}(127.0.0.1)
SlurmctldPort={control}
SlurmdPort={node}
AuthType=auth/none
CredType=cred/none
ProctrackType=proctrack/linuxproc
TaskPlugin=task/none
SelectType=select/cons_tres
SelectTypeParameters=CR_CPU
SlurmUser=root
SlurmdUser=root
StateSaveLocation={self.place}/state
SlurmdSpoolDir={self.place}/spool
SlurmctldPidFile={self.place}/slurmctld.pid
SlurmdPidFile={self.place}/slurmd.pid
SlurmctldLogFile={self.place}/slurmctld.log
SlurmdLogFile={self.place}/slurmd.log
ReturnToService=2
KillWait=5
SchedulerParameters=batch_sched_delay=0,sched_interval=2,sched_min_interval=0
NodeName={self.host} NodeAddr=127.0.0.1 CPUs={os.cpu_count()} State=UNKNOWN
PartitionName=all Nodes=ALL Default=YES State=UP
"""

    def start(self, *call):
        """Slurm's daemons end when this test does, by their process ids."""
        daemon = subprocess.Popen([str(word) for word in call], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
                                  **self.slurm)
        def end():
            daemon.terminate()
            try:
                daemon.wait(10)
            except subprocess.TimeoutExpired:
                daemon.kill()
                daemon.wait()
        self.addCleanup(end)

    def ask(self, *call):
        return subprocess.run(call, capture_output=True, text=True, timeout=30, **self.slurm).stdout.strip()

    def submit(self):
        (self.folder / "county.sh").write_text(f"""#!/bin/bash
#SBATCH --array=1-4%2
#SBATCH --output=slurm/task-%a.txt
exec {self.program} batch county.csv --site base.toml --out out --only water --row "$SLURM_ARRAY_TASK_ID"
""")
        job = self.ask("sbatch", "--parsable", "county.sh")
        self.assertRegex(job, r"\A\d+\Z")
        return job

    def wait_for(self, job):
        wait_until(lambda: self.ask("squeue", "-h", "-j", job) == "", 90, "the job array")

    def test_cancelled_task_alone_runs_again(self):
        self.write_county_with_a_slow_farm()
        job = self.submit()
        wait_until(self.birch_is_running, 60, "Birch to start")
        self.ask("scancel", job + "_2")
        self.wait_for(job)
        self.check_only_birch_is_missing()
        before = {farm: os.stat(self.out(farm.replace(" ", "_"), "summary.json")).st_mtime_ns
                  for farm in FARMS if farm != "Birch"}
        self.wait_for(self.submit())
        for farm, when in before.items():  # left alone
            self.assertEqual(os.stat(self.out(farm.replace(" ", "_"), "summary.json")).st_mtime_ns, when)
        self.check_whole()


if __name__ == "__main__":
    if len(sys.argv) < 2:
        sys.exit(__doc__)
    Cli.program = os.path.abspath(sys.argv.pop(1))
    outcome = unittest.main(verbosity=2, exit=False).result
    if not outcome.wasSuccessful():
        sys.exit(1)
    sys.exit(77 if len(outcome.skipped) == outcome.testsRun else 0)
