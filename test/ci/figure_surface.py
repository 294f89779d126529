"""Surfaces behind dense knife-edge readings, by an ODE solver that knows nothing of the planner.

One JSON request a line: vertex radius R, conic K asked, radii, readings (mm from the vertex centre of curvature) and the kind of
source. The slope at each radius follows from where the ray crosses the axis; the sag is integrated by scipy, and the asked conic
is taken off. Prints the heights in nm.
"""
import json
import sys

import numpy as np
from scipy.integrate import solve_ivp
from scipy.interpolate import CubicSpline


def slope_of(r, z, crossing, radius, fixed):
    if not fixed:
        return r / (radius + crossing - z)
    # Fixed source at the centre of curvature: incoming and reflected ray make equal angles with the normal.
    incoming = np.arctan2(r, radius - z)
    reflected = np.arctan2(r, radius + crossing - z)
    return np.tan((incoming + reflected) / 2)


def main():
    for line in sys.stdin:
        if not line.strip():
            continue
        ask = json.loads(line)
        r = np.array(ask["radii"])
        radius, conic = ask["radius"], ask["conic"]
        # Even about the axis: a spline in r^2 through the readings.
        crossing = CubicSpline(r**2, np.array(ask["readings"]))
        out = np.array(ask["at"])
        solved = solve_ivp(
            lambda x, z: [slope_of(x, z[0], float(crossing(x * x)), radius, ask["fixed"])],
            (1e-9, out[-1]), [0.0], t_eval=np.maximum(out, 1e-9), method="DOP853", rtol=1e-13, atol=1e-15,
        )
        asked = out**2 / (radius + np.sqrt(radius**2 - (1 + conic) * out**2))
        print(json.dumps(list((solved.y[0] - asked) * 1e6)))


main()
