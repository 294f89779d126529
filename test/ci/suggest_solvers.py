"""scipy's answers to problems of the planner: one JSON request a line, {"kind": "nnls"} or {"kind": "milp"}."""
import json
import sys

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp, nnls


def main():
    for line in sys.stdin:
        if not line.strip():
            continue
        ask = json.loads(line)
        if ask["kind"] == "nnls":
            x, left = nnls(np.array(ask["columns"]).T, np.array(ask["b"]), maxiter=10000)
            print(json.dumps({"x": list(x), "left": left}))
            continue
        upper = [np.inf if value is None else value for value in ask["upper"]]
        least = [-np.inf if value is None else value for value in ask["least"]]
        most = [np.inf if value is None else value for value in ask["most"]]
        found = milp(
            np.array(ask["cost"]),
            constraints=LinearConstraint(np.array(ask["rows"]), least, most),
            bounds=Bounds(np.array(ask["lower"]), np.array(upper)),
            integrality=np.array(ask["whole"]),
            options={"mip_rel_gap": 0.0},
        )
        print(json.dumps({"status": int(found.status), "cost": None if found.x is None else float(found.fun)}))


main()
