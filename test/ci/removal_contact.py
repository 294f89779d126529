"""Partial contact of a stiff lap, solved directly: for each case the pressure max(0, p0 + gx x + gy y) over a fine lattice of the
face that lies on the glass, found as the minimum of the plate's energy 1/2 int max(0, p)^2 - F p0 (scipy.optimize.minimize).
Reads one JSON case a line: {radius, rim, hole, centre}; writes [p0, gx, gy] times the lap's area."""
import json
import sys

import numpy as np
from scipy.optimize import minimize

for line in sys.stdin:
    case = json.loads(line)
    a = case["radius"]
    n = 1200
    step = 2 * a / n
    axis = (np.arange(n) + 0.5) * step - a
    x, y = np.meshgrid(axis, axis)
    out = np.hypot(x + case["centre"], y)
    on = (np.hypot(x, y) <= a) & (out <= case["rim"]) & (out >= case["hole"])
    x, y = x[on] / a, y[on] / a
    cell = step * step / (np.pi * a * a)

    def energy(q):
        p = np.maximum(0, q[0] + q[1] * x + q[2] * y)
        return 0.5 * np.sum(p * p) * cell - q[0]

    def slope(q):
        p = np.maximum(0, q[0] + q[1] * x + q[2] * y)
        return np.array([np.sum(p) * cell - 1, np.sum(p * x) * cell, np.sum(p * y) * cell])

    found = minimize(energy, [1.0, 0.0, 0.0], jac=slope, method="BFGS", options={"gtol": 1e-10, "maxiter": 2000})
    print(json.dumps(list(found.x)))
