# SPDX-License-Identifier: Apache-2.0
"""The invented ground of demo-dem/: a skeleton of curves, weathered by running water and creep.

Coordinates are metres east (x) and north (y) of the ground's south-west corner; elevations are metres. Everything
is computed from fixed numbers, so the same libraries give the same ground.
"""
import heapq

import numpy as np

WIDTH, HEIGHT = 1400.0, 1100.0  # m, east-west and north-south
MARGIN = 240.0  # m of further ground around it while it weathers, so that the edges look like the middle
COARSE = 10.0  # m, cell of the weathering

# The valley runs in its own frame: u metres along from a point on the west edge, v metres to the left (north).
HEAD, TURN = (0.0, 660.0), np.radians(-18.0)
FLOOR = [(-400, 251.0), (0, 240.5), (300, 233.0), (600, 226.5), (900, 220.5), (1200, 215.6), (1480, 212.0),
         (1900, 206.5)]  # u, m; elevation of the valley floor, m
# Slope of the ground against distance from the valley line: (from this distance on, m; slope).
NORTH_FLANK = [(0, 0.012), (60, 0.080), (190, 0.018), (355, 0.105), (480, 0.045), (590, 0.008), (700, -0.012)]
EAST_FLANK = [(0, 0.012), (65, 0.060), (330, 0.070), (460, 0.030), (600, 0.004), (700, -0.012)]  # no bench
SOUTH_FLANK = [(0, 0.012), (60, 0.055), (150, 0.095), (290, 0.035), (430, 0.000)]
HOLLOW = dict(x=640.0, y=722.0, along=64.0, across=36.0, depth=2.5, turn=np.radians(-16))


def smooth_step(t):
    t = np.clip(t, 0.0, 1.0)
    return t * t * t * (t * (6.0 * t - 15.0) + 10.0)


def lattice(ix, iy, seed):
    """A fixed pseudo-random number in -1..1 for each whole (ix, iy)."""
    with np.errstate(over="ignore"):
        h = (ix.astype(np.uint32) * np.uint32(0x9E3779B1)) ^ (iy.astype(np.uint32) * np.uint32(0x85EBCA77))
        h ^= np.uint32(seed) * np.uint32(0xC2B2AE3D)
        for shift, factor in ((16, 0x7FEB352D), (15, 0x846CA68B)):
            h = (h ^ (h >> np.uint32(shift))) * np.uint32(factor)
        h ^= h >> np.uint32(16)
    return h.astype(np.float64) / 2.0**31 - 1.0


def noise(x, y, length, seed):
    """Gradient noise (after Perlin 1985) of about `length` metres, -1..1, turned so that its lattice doesn't show."""
    turn = 0.6 + 1.7 * seed
    u = (x * np.cos(turn) + y * np.sin(turn)) / length
    v = (-x * np.sin(turn) + y * np.cos(turn)) / length
    iu, iv = np.floor(u).astype(np.int64), np.floor(v).astype(np.int64)

    def corner(du, dv):
        angle = np.pi * lattice(iu + du, iv + dv, seed)
        return np.cos(angle) * (u - iu - du) + np.sin(angle) * (v - iv - dv)

    wu, wv = smooth_step(u - iu), smooth_step(v - iv)
    low = corner(0, 0) * (1 - wu) + corner(1, 0) * wu
    high = corner(0, 1) * (1 - wu) + corner(1, 1) * wu
    return 1.6 * (low * (1 - wv) + high * wv)


def valley_line(u):
    """v of the valley line: a few easy bends, not all alike."""
    return 38 * np.sin(u / 165 + 0.4) + 26 * np.sin(u / 96 + 2.1) + 30 * np.sin(u / 420)


def in_valley(x, y):
    """Distance along the valley, and across it from its line (positive on the north side)."""
    dx, dy = x - HEAD[0], y - HEAD[1]
    u = dx * np.cos(TURN) + dy * np.sin(TURN)
    v = -dx * np.sin(TURN) + dy * np.cos(TURN)
    return u, v - valley_line(u)


def flank(distance, steps, soften=50.0):
    """Height gained over `distance` on a flank whose slope changes gradually from one value to the next."""
    reach = np.arange(0.0, 1600.0)
    slope = np.full(reach.shape, steps[0][1])
    for (_, before), (start, after) in zip(steps, steps[1:]):
        slope += (after - before) * smooth_step((reach - start) / (2 * soften) + 0.5)
    return np.interp(distance, reach, np.cumsum(slope))


def skeleton(x, y):
    """Valley, bench and upland before any weathering."""
    u, across = in_valley(x, y)
    steps = np.interp(np.arange(-650, 2151), *np.array(FLOOR).T)
    floor = np.interp(u, np.arange(-500, 2001), np.convolve(steps, np.ones(301) / 301, "valid"))
    far = smooth_step(abs(across) / 220)
    wander = 58 * noise(x, y, 330, 1) + 36 * noise(x, y, 170, 2)
    d = np.maximum(np.hypot(across, 35.0) - 35.0 + wander * far, 0)  # a rounded floor, no crease
    dying = smooth_step((x - 900) / 300)  # the bench runs out to the east
    north = flank(d, NORTH_FLANK) * (1 - dying) + flank(d, EAST_FLANK) * dying
    height = np.where(across > 0, north, flank(d, SOUTH_FLANK))
    # The upland is broken by broad saddles; the south ridge falls towards the east.
    broad = 4.0 * noise(x, y, 430, 3) + 2.2 * noise(x, y, 210, 4) + 1.1 * noise(x, y, 100, 5)
    return floor + height + broad * far - 4.0 * smooth_step((x - 700) / 800) * (across < 0) * far


def flow_order(z):
    """Each cell's receiver, and the cells from the outlets up, over hollows filled to their spill.

    Priority-Flood of Barnes, Lehman & Mulla (2014), plain version.
    """
    rows, cols = z.shape
    receiver = np.arange(rows * cols)
    seen = np.zeros((rows, cols), bool)
    seen[0], seen[-1], seen[:, 0], seen[:, -1] = True, True, True, True
    queue = [(z.flat[k], k) for k in np.flatnonzero(seen)]
    heapq.heapify(queue)
    order = []
    while queue:
        level, k = heapq.heappop(queue)
        order.append(k)
        r, c = divmod(k, cols)
        for dr, dc in ((0, 1), (0, -1), (1, 0), (-1, 0), (1, 1), (1, -1), (-1, 1), (-1, -1)):
            i, j = r + dr, c + dc
            if 0 <= i < rows and 0 <= j < cols and not seen[i, j]:
                seen[i, j] = True
                receiver[i * cols + j] = k
                heapq.heappush(queue, (max(level, z[i, j]) + 1e-4, i * cols + j))
    return receiver, order


def weather(z, cell, steps=40, wash=0.0055, creep=5.0):
    """Lets streams cut (stream power, implicit as in Braun & Willett 2013) and slopes creep (diffusion)."""
    z = z.copy()
    cols = z.shape[1]
    for _ in range(steps):
        receiver, order = flow_order(z)
        area = np.full(z.size, cell * cell)
        for k in reversed(order):
            if receiver[k] != k:
                area[receiver[k]] += area[k]
        flat = z.ravel()
        for k in order:
            down = receiver[k]
            if down != k and flat[k] > flat[down]:
                length = cell * (1.0 if abs(k - down) in (1, cols) else 2**0.5)
                cut = wash * area[k] ** 0.5 / length
                flat[k] = (flat[k] + cut * flat[down]) / (1 + cut)
        for _ in range(2):
            wide = np.pad(z, 1, mode="edge")
            bend = wide[:-2, 1:-1] + wide[2:, 1:-1] + wide[1:-1, :-2] + wide[1:-1, 2:] - 4 * z
            z += 0.5 * creep / cell**2 * bend
    return z


def with_hollow(z, x, y):
    """Presses the closed hollow into the back of the bench, with a low lip on its downhill side."""
    h = HOLLOW
    dx, dy = x - h["x"], y - h["y"]
    u = (dx * np.cos(h["turn"]) + dy * np.sin(h["turn"])) / h["along"]
    v = (-dx * np.sin(h["turn"]) + dy * np.cos(h["turn"])) / h["across"]
    r = np.hypot(u, v) * (1 + 0.22 * noise(x, y, 60, 11))
    lip = float(z[np.argmin(abs(y[:, 0] - (h["y"] - 8))), np.argmin(abs(x[0] - h["x"]))])
    bowl = lip - h["depth"] * (1 - np.clip(r / 1.05, 0, 1) ** 2) ** 1.5
    keep = smooth_step((r - 0.70) / 1.25)
    return z * keep + bowl * (1 - keep)


def small_forms(z, x, y):
    """The thalweg, an old terrace bank and the roughness of worked land."""
    u, across = in_valley(x, y)
    z = z - 0.55 * np.exp(-(((across + 9 * noise(x, y, 70, 20)) / 9.0) ** 2))
    bank = across - 172 - 26 * np.sin(u / 130) - 10 * np.sin(u / 47)
    fade = smooth_step((u - 300) / 70) * smooth_step((720 - u) / 90) * np.exp(-((bank / 40.0) ** 2))
    z = z + 0.4 * fade * np.tanh(bank / 2.5)
    roughness = ((90, 0.22, 30), (45, 0.15, 31), (23, 0.08, 32), (10, 0.035, 33), (5, 0.02, 34))
    for length, amplitude, seed in roughness:
        z = z + amplitude * noise(x, y, length, seed)
    return z
