# SPDX-License-Identifier: Apache-2.0
"""archive.nc opens in other people's programs and says what the run's rasters say; a run that was killed goes on with
--resume and ends with the same bytes.
usage: test_archive.py PATH/lielow"""
import json
import os
import random
import signal
import subprocess
import time
import unittest
import warnings

import numpy
from osgeo import gdal, osr

from cli_case import Cli, main, rolling_ground, write_dem

try:
    import xarray
except ImportError:
    xarray = None

CELL = 10  # m; of the ground here, and of the night unless a test says otherwise
NIGHT = ('[night]\ndate = 2026-04-18\nevening_air = "48 degF"\ncell = "20 m"\nsheets = 6\n'
         'wind = "1 mph"\nwind_direction = "270 deg"\n')
STORM = '[water]\nstorm = "2 in"\nstorm_shape = "even"\nstorm_duration = "6 h"\nstorm_follow = "3 h"\n'
RESUME = ".lielow.resume"


class ArchiveCase(Cli):
    def write(self, top="", text=NIGHT, rows=24, cols=30):
        write_dem(self.folder / "dem.tif", rolling_ground(rows, cols))
        dataset = gdal.Open(str(self.folder / "dem.tif"), gdal.GA_Update)
        dataset.SetGeoTransform([500000, CELL, 0, 4400000, 0, -CELL])
        dataset = None
        (self.folder / "farm.toml").write_text(top + '[ground]\ndem = "dem.tif"\n' + text)

    def done(self, *arguments, out="out"):
        result = self.lielow("run", "farm.toml", "--quiet", "--out", out, *arguments)
        self.assertEqual(result.returncode, 0, result.stderr)
        return self.folder / out

    def raster(self, out, name):
        dataset = gdal.Open(str(out / f"rasters/{name}.tif"))
        return dataset.ReadAsArray()

    def notes(self, out):
        return json.loads((out / "summary.json").read_text())["run"]["notes"]

    def bytes_of(self, out):
        """What must not differ between two runs."""
        names = sorted(p for p in out.rglob("*") if p.suffix in (".tif", ".nc", ".csv"))
        self.assertGreater(len(names), 4)
        return {str(p.relative_to(out)): p.read_bytes() for p in names}


class Opens(ArchiveCase):
    """Read by GDAL and by xarray through both of its engines."""

    def open_all(self, out):
        for engine in ("h5netcdf", "netcdf4"):
            with xarray.open_dataset(out / "archive.nc", engine=engine, decode_coords="all") as data:
                yield engine, data

    @unittest.skipIf(xarray is None, "python3-xarray isn't installed")
    def test_night_in_xarray(self):
        self.write()
        out = self.done("--only", "night")
        summary = json.loads((out / "summary.json").read_text())
        for engine, data in self.open_all(out):
            with self.subTest(engine):
                self.assertEqual(data.attrs["Conventions"], "CF-1.8")
                self.assertEqual(data.air_temperature.dims, ("time", "y", "x"))
                self.assertEqual(data.air_temperature.attrs["standard_name"], "air_temperature")
                self.assertEqual(data.air_temperature.attrs["units"], "K")
                self.assertIn("crs", data.coords)
                self.assertEqual(data.crs.attrs["grid_mapping_name"], "transverse_mercator")
                self.assertEqual(data.crs.attrs["longitude_of_central_meridian"], -81)
                self.assertIn("PROJCRS", data.crs.attrs["crs_wkt"])
                numpy.testing.assert_allclose(data.x.values, 500010 + 20 * numpy.arange(15))
                numpy.testing.assert_allclose(data.y.values, 4399990 - 20 * numpy.arange(12))
                # On the evening's date the sun sets after 00:00 UTC of the next day here (81 degrees west).
                first, last = data.time.values[[0, -1]]
                self.assertEqual(str(first)[:10], "2026-04-19")
                self.assertEqual(str(last)[:10], "2026-04-19")
                night = summary["parts"]["night"]
                length = (last - first) / numpy.timedelta64(1, "s") + 3600
                self.assertAlmostEqual(length, night["length_s"], delta=1)
                self.assertEqual(data.sizes["time"], int(night["length_s"] // 3600) + 1)
                self.assertTrue(numpy.isfinite(data.air_temperature.values).all())
                self.assertLess(float(data.air_temperature[-1].mean()), float(data.air_temperature[0].mean()) - 1)

    @unittest.skipIf(xarray is None, "python3-xarray isn't installed")
    def test_values_are_the_rasters(self):
        """Where the night's cells are the DEM's own, what is told on them is what the rasters tell."""
        self.write('archive = "states"\n', NIGHT.replace("20 m", "10 m"))
        out = self.done("--only", "night")
        for engine, data in self.open_all(out):
            with self.subTest(engine):
                depth = self.raster(out, "cold_depth")
                numpy.testing.assert_allclose(data.cold_depth.values[-1], depth, atol=2e-4)
                self.assertGreater(float(depth.max()), 2)
                # The lowest of the kept moments is no lower than the night's lowest, and near it.
                low = self.raster(out, "night_low") + 273.15
                kept = data.air_temperature.values.min(axis=0)
                self.assertGreater((kept - low).min(), -1e-3)
                self.assertLess((kept - low).max(), 0.3)
                self.assertEqual(data.isotherm_height.dims, ("time", "sheet", "y", "x"))
                numpy.testing.assert_array_equal(data.isotherm_height.values[:, 0], data.cold_depth.values)
                self.assertTrue((numpy.diff(data.isotherm_height.values, axis=1) <= 1e-6).all())
                numpy.testing.assert_allclose(data.surface_altitude.values, rolling_ground(24, 30), atol=1e-4)
                self.assertTrue((numpy.diff(data.time.values[:-1]) == numpy.timedelta64(900, "s")).all())

    @unittest.skipIf(xarray is None, "python3-xarray isn't installed")
    def test_wind_is_the_flow_of_the_map(self):
        """flow_hour at a whole hour after sunset: the raster's speed at the cells' centres."""
        self.write(text=NIGHT.replace("20 m", "10 m"))
        out = self.done("--only", "night")
        words = json.loads((out / "summary.json").read_text())["parts"]["night"]
        hour, minute = map(int, words["sunset"].split(":"))
        self.write(text=NIGHT.replace("20 m", "10 m") + f'flow_hour = "{(hour + 5) % 24:02}:{minute:02}"\n')
        out = self.done("--only", "night")
        speed = self.raster(out, "flow_speed")
        with xarray.open_dataset(out / "archive.nc", engine="netcdf4") as data:
            told = numpy.hypot(data.x_wind.values[4], data.y_wind.values[4])
        numpy.testing.assert_allclose(told, speed, atol=2e-5)
        self.assertGreater(float(speed.max()), 0.02)

    @unittest.skipIf(xarray is None, "python3-xarray isn't installed")
    def test_storm_in_xarray(self):
        self.write(text=STORM)
        out = self.done("--only", "water")
        for engine, data in self.open_all(out):
            with self.subTest(engine):
                self.assertNotIn("air_temperature", data)
                self.assertEqual(data.storm_water_depth.dims, ("storm_time", "storm_y", "storm_x"))
                seconds = data.storm_time.values
                numpy.testing.assert_allclose(numpy.diff(seconds), 3600)
                fallen = (data.storm_rain.values * numpy.diff(numpy.concatenate([[0], seconds]))).sum()
                self.assertAlmostEqual(fallen, 2 * 0.0254, delta=1e-6)
                depth = data.storm_water_depth.values
                self.assertEqual(depth.shape[1:], (24, 30))
                self.assertTrue((depth.max(axis=0) <= self.raster(out, "storm_depth") + 1e-6).all())
                self.assertGreater(depth.max(), 0.01)
                summary = json.loads((out / "summary.json").read_text())
                storm = summary["parts"]["storm"]
                # What stands in the cells along open edges is taken as gone after the look.
                stored = float(depth[-1, 1:-1, 1:-1].sum(dtype=float)) * storm["cell_width_m"] * storm["cell_height_m"]
                self.assertAlmostEqual(stored, storm["stored_m3"], delta=1e-5 * storm["stored_m3"])

    def test_gdal(self):
        self.write(text=NIGHT + STORM)
        out = self.done("--only", "night,water")
        utm = osr.SpatialReference()
        utm.ImportFromEPSG(26917)
        for name, unit, cell in (("air_temperature", "K", 20), ("storm_water_depth", "m", 10)):
            with self.subTest(name):
                dataset = gdal.Open(f'NETCDF:"{out}/archive.nc":{name}')
                self.assertTrue(dataset.GetSpatialRef().IsSame(utm))
                transform = dataset.GetGeoTransform()
                self.assertEqual((transform[0], transform[3]), (500000, 4400000))
                self.assertEqual(transform[5], -transform[1])
                self.assertEqual(transform[1], cell)
                self.assertEqual(dataset.GetRasterBand(1).GetNoDataValue(), -9999)
                self.assertEqual(dataset.GetRasterBand(1).GetUnitType(), unit)
                time_name = "storm_time" if name.startswith("storm") else "time"
                self.assertIn(f"NETCDF_DIM_{time_name}", dataset.GetRasterBand(1).GetMetadata())

    def test_is_netcdf_4(self):
        self.write()
        out = self.done("--only", "night")
        try:
            kind = subprocess.run(["ncdump", "-k", out / "archive.nc"], capture_output=True, text=True)
        except FileNotFoundError:
            self.skipTest("netcdf-bin isn't installed")
        self.assertEqual(kind.stdout.strip(), "netCDF-4")

    def test_none_leaves_it_out(self):
        self.write('archive = "none"\n')
        out = self.done("--only", "night")
        self.assertFalse((out / "archive.nc").exists())
        self.write('archive = "days"\n')
        self.assert_refused(self.lielow("run", "farm.toml"), "archive", "days", "hours")

    def test_provenance_without_a_clock(self):
        self.write()
        out = self.done("--only", "night")
        info = gdal.MultiDimInfo(str(out / "archive.nc"))
        text = json.dumps(info)
        self.assertIn(f'{json.loads((out / "summary.json").read_text())["inputs"][0]["sha256"]}', text)
        self.assertNotIn(time.strftime("%Y-%m-%d"), text)


class Same(ArchiveCase):
    """One input, one file, whatever happens on the way."""

    def test_two_runs_and_any_number_of_threads(self):
        self.write('archive = "states"\n', NIGHT + STORM)
        first = self.bytes_of(self.done("--only", "night,water", "--threads", "1", out="one"))
        for threads in ("1", "3"):
            again = self.bytes_of(self.done("--only", "night,water", "--threads", threads, out=f"other{threads}"))
            self.assertEqual(first.keys(), again.keys())
            for name, content in first.items():
                self.assertEqual(content, again[name], name)

    def start(self, *arguments):
        return subprocess.Popen([self.program, "run", "farm.toml", "--quiet", "--out", "out", *arguments],
                                cwd=self.folder, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)

    def kill_after_the_first_hour(self, delay=0.0):
        """False when the run was over before."""
        return self.kill_when_there_is(self.folder / "out" / RESUME / "night.state", delay)

    def kill_when_there_is(self, state, delay=0.0):
        process = self.start()
        while not state.exists() and process.poll() is None:
            time.sleep(0.005)
        time.sleep(delay)
        process.send_signal(signal.SIGKILL)
        return process.wait() == -signal.SIGKILL

    def test_killed_at_any_moment(self):
        text = NIGHT.replace("20 m", "10 m") + STORM
        self.write('archive = "states"\n', text)
        began = time.monotonic()
        whole = self.bytes_of(self.done(out="whole"))
        seconds = time.monotonic() - began
        chance = random.Random(20260418)
        kills = 0
        resumed = 0
        for _ in range(5):
            self.kill_after_the_first_hour(chance.uniform(0, 0.3) * seconds)
            over = False
            for _ in range(3):  # and while it goes on
                process = self.start("--resume")
                time.sleep(chance.uniform(0.02, 0.4) * seconds)
                process.send_signal(signal.SIGKILL)
                over = process.wait() == 0  # quicker than the signal
                if over:
                    break
                kills += 1
            if over:
                out = self.folder / "out"
            else:
                out = self.done("--resume")
            resumed += any("went on" in note for note in self.notes(out))
            again = self.bytes_of(out)
            self.assertEqual(whole.keys(), again.keys())
            for name, content in whole.items():
                self.assertEqual(content, again[name], name)
            self.assertFalse((out / RESUME).exists())
            for path in sorted(out.rglob("*"), reverse=True):
                path.rmdir() if path.is_dir() else path.unlink()
        print(f"unbroken {seconds:.2f} s; {kills} kills of resumed runs, {resumed} of 5 went on from a kept hour")
        self.assertGreaterEqual(kills, 4)
        self.assertGreaterEqual(resumed, 3)

    @unittest.skipIf(xarray is None, "python3-xarray isn't installed")
    def test_a_killed_run_leaves_its_hours_to_read(self):
        self.write(text=NIGHT.replace("20 m", "10 m"))
        left = self.folder / "out" / RESUME / "archive.nc"
        self.assertTrue(self.kill_when_there_is(left), "too quick to be killed")
        whole = self.done(out="whole")
        with xarray.open_dataset(left, engine="h5netcdf") as part, \
                xarray.open_dataset(whole / "archive.nc", engine="h5netcdf") as data:
            hours = part.sizes["time"]
            self.assertGreaterEqual(hours, 1)
            self.assertLess(hours, data.sizes["time"])
            for name in ("air_temperature", "cold_depth", "x_wind", "y_wind", "surface_altitude"):
                same = data[name].isel(time=slice(hours)) if "time" in data[name].dims else data[name]
                numpy.testing.assert_array_equal(part[name].values, same.values, name)

    def test_other_settings_begin_anew(self):
        self.write()
        self.assertTrue(self.kill_after_the_first_hour(), "too quick to be killed")
        self.write(text=NIGHT.replace("48 degF", "50 degF"))
        whole = self.bytes_of(self.done(out="whole"))
        out = self.done("--resume")
        self.assertEqual(len(self.notes(out)), 1)
        self.assertIn("began anew", self.notes(out)[0])
        self.assertEqual(whole, self.bytes_of(out))

    def test_without_resume_what_was_kept_is_dropped(self):
        self.write()
        self.assertTrue(self.kill_after_the_first_hour(), "too quick to be killed")
        out = self.done()
        self.assertEqual(self.notes(out), [])
        self.assertFalse((out / RESUME).exists())

    def test_damaged_state_begins_anew(self):
        self.write()
        whole = self.bytes_of(self.done(out="whole"))
        for damage in ("short", "flipped", "lost"):
            with self.subTest(damage):
                self.assertTrue(self.kill_after_the_first_hour(), "too quick to be killed")
                state = self.folder / "out" / RESUME / "night.state"
                content = bytearray(state.read_bytes())
                if damage == "short":
                    state.write_bytes(content[:-7])
                elif damage == "flipped":
                    content[len(content) // 2] ^= 4
                    state.write_bytes(content)
                else:
                    (state.parent / "night.0001").unlink()
                self.assertEqual(whole, self.bytes_of(self.done("--resume")))

    def test_nothing_to_resume(self):
        self.write()
        out = self.done("--resume")
        self.assertIn("no kept state", self.notes(out)[0])


class FullDisk(ArchiveCase):
    def test_one_line_and_older_results_stay(self):
        self.write('archive = "states"\n')
        disk = self.folder / "disk"
        disk.mkdir()
        mounted = subprocess.run(["mount", "-t", "tmpfs", "-o", "size=16k", "tmpfs", disk], capture_output=True)
        if mounted.returncode != 0:
            self.skipTest("no right to mount a small tmpfs here")
        self.addCleanup(subprocess.run, ["umount", disk], check=True)
        lines = set()
        for kib in (16, 96, 400, 700):
            subprocess.run(["mount", "-o", f"remount,size={kib}k", disk], check=True)
            result = self.lielow("run", "farm.toml", "--quiet", "--only", "night", "--out", "disk/out")
            if result.returncode == 0:
                continue
            self.assert_refused(result, "disk", status=result.returncode)
            lines.add(result.stderr)
            self.assertEqual([p.name for p in disk.rglob("*.nc")] + [p.name for p in disk.rglob("*.tif")], [])
        self.assertTrue(lines)

    def test_no_room_for_the_archive(self):
        self.write('archive = "states"\n')
        whole = self.done("--only", "night", out="whole")
        size = (whole / "archive.nc").stat().st_size
        # The page is written last of all.
        others = max(p.stat().st_size for p in whole.rglob("*") if p.is_file() and p.suffix not in (".nc", ".html"))
        self.assertGreater(size, others)
        limit = (size - 1) // 1024

        def confine():
            import resource
            signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
            resource.setrlimit(resource.RLIMIT_FSIZE, (limit * 1024, limit * 1024))
        result = self.lielow("run", "farm.toml", "--quiet", "--only", "night", "--out", "out", preexec_fn=confine)
        self.assert_refused(result, "archive.nc", "disk", status=1)
        self.assertEqual([p.name for p in (self.folder / "out").rglob("*.nc")], [])


if __name__ == "__main__":
    warnings.simplefilter("ignore")
    os.environ.setdefault("OMP_WAIT_POLICY", "passive")
    main(__doc__)
