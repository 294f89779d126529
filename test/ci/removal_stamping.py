"""The straightforward way: at every sample of the path stamp pressure x speed over the lap on a polar lattice of the glass
(0.5 mm x 1 degree by default). Reads one JSON job: {samples: [[turntable rad, x, y, vx, vy, spin, weight], ...], radius, rim, step,
azimuths}; speeds per turn, x, y, v in the stand's frame, spin of the lap over the turntable. Wholly on the glass, level pivot: the
pressure is uniform. Writes {seconds, profile, peak, order2}."""
import json
import sys
import time

import numpy as np

job = json.load(sys.stdin)
samples = np.array(job["samples"])
a = job["radius"]
step = job["step"]
azimuths = job["azimuths"]
radii = np.arange(int(round(job["rim"] / step)) + 1) * step
angles = np.arange(azimuths) * 2 * np.pi / azimuths
px = radii[:, None] * np.cos(angles)[None, :]
py = radii[:, None] * np.sin(angles)[None, :]
pressure = 1 / (np.pi * a * a)
depth = np.zeros_like(px)

start = time.perf_counter()
for theta, x, y, vx, vy, spin, weight in samples:
    c, s = np.cos(-theta), np.sin(-theta)
    cx, cy = c * x - s * y, s * x + c * y
    wx, wy = c * vx - s * vy, s * vx + c * vy
    # Only the rings the lap can reach.
    centre = np.hypot(cx, cy)
    first = max(0, int((centre - a) / step))
    last = min(len(radii), int((centre + a) / step) + 2)
    dx = px[first:last] - cx
    dy = py[first:last] - cy
    inside = dx * dx + dy * dy <= a * a
    speed = np.sqrt((wx - spin * dy) ** 2 + (wy + spin * dx) ** 2)
    depth[first:last] += np.where(inside, speed, 0) * (pressure * weight)
seconds = time.perf_counter() - start

profile = depth.mean(axis=1)
order2 = np.abs((depth * np.exp(-2j * angles)[None, :]).mean(axis=1)) * 2
print(json.dumps({"seconds": seconds, "profile": profile.tolist(), "order2": order2.tolist()}))
