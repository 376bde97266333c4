"""A run as a chain of 4x4 matrices, its errors, readings and least correction, written from the manual alone.

Columns of a frame: forward, up, right = forward x up, place. Lengths mm, angles rad.
"""

import json
import tomllib
from pathlib import Path

import numpy as np
from scipy.optimize import minimize

DEG = np.pi / 180.0


def unit(v):
    return np.asarray(v, float) / np.linalg.norm(v)


def turn(axis, angle):
    """Rotation about one of the frame's own axes: 0 forward, 1 up, 2 right."""
    c, s = np.cos(angle), np.sin(angle)
    m = np.eye(4)
    i, j = [(1, 2), (2, 0), (0, 1)][axis]
    m[i, i], m[i, j], m[j, i], m[j, j] = c, -s, s, c
    return m


def slide(forward, up=0.0, right=0.0):
    m = np.eye(4)
    m[:3, 3] = forward, up, right
    return m


def arc(clr, angle):
    """Along an arc towards `up`: about `right`."""
    return slide(clr * np.sin(angle), clr * (1.0 - np.cos(angle))) @ turn(2, angle)


def frame(place, forward, up):
    forward = unit(forward)
    up = unit(np.asarray(up) - forward * np.dot(up, forward))
    m = np.eye(4)
    m[:3, 0], m[:3, 1], m[:3, 2], m[:3, 3] = forward, up, np.cross(forward, up), place
    return m


class Run:
    """A run of routes.toml with its pieces of cutplan.json."""

    def __init__(self, folder, name):
        folder = Path(folder)
        self.name = name
        plan = json.loads((folder / "cutplan.json").read_text())
        routes = tomllib.loads((folder / "routes.toml").read_text())
        scale = 25.4 if routes.get("units") == "in" else 1.0
        cylinder = int(name.split()[1])
        route = next(r for r in routes["primary"] if r["cylinder"] == cylinder)
        self.inlet_name = f"{route['collector']} {route['inlet']}"
        points = np.array(route["points"], float) * scale
        items = {i["id"]: i for i in plan["items"]}
        self.pieces = sorted((p for p in plan["pieces"] if p["run"] == name), key=lambda p: p["from"])
        self.od = items[self.pieces[0]["item"]]["od_mm"]
        self.items = [items[p["item"]] for p in self.pieces]
        self.clr = [i.get("clr_mm", 0.0) if p["angle_deg"] > 0 else 0.0 for i, p in zip(self.items, self.pieces)]
        self.marks = [p["mark"] for p in self.pieces]
        forward = unit(points[1] - points[0])
        up = points[2] - points[1] if len(points) > 2 else [0.0, 0.0, 1.0]
        self.start = frame(points[0] + forward * self.pieces[0]["from"], forward, up)
        self.end = points[-1]
        self.axis = unit(points[-1] - points[-2])
        self.drawn = np.zeros((len(self.pieces), 10))
        clocking = None
        for k, p in enumerate(self.pieces):
            self.drawn[k, 6] = p["leg_in_mm"]
            if self.clr[k]:
                self.drawn[k, 5] = clocking or 0.0
                self.drawn[k, 7:] = self.clr[k], p["angle_deg"] * DEG, p["leg_out_mm"]
                clocking = p["clocking"]["angle_deg"] * DEG if p.get("clocking") else None
        self.joints = [f"port {cylinder}-{self.marks[0]}"] + [f"{a}-{b}" for a, b in zip(self.marks, self.marks[1:])]

    def bends(self):
        return [k for k, r in enumerate(self.clr) if r]

    def frames(self, figures, start=None):
        """Frames at the starts and ends of all pieces."""
        at = self.start if start is None else start
        entry, ends = [], []
        for shift, up, right, kink_up, kink_right, roll, leg_in, clr, angle, leg_out in figures:
            at = at @ slide(shift, up, right) @ turn(1, kink_up) @ turn(2, kink_right) @ turn(0, roll)
            entry.append(at)
            at = at @ slide(leg_in)
            if clr:
                at = at @ arc(clr, angle) @ slide(leg_out)
            ends.append(at)
        return entry, ends

    def length(self, figures):
        f = np.asarray(figures)
        return float((f[:, 0] + f[:, 6] + f[:, 7] * f[:, 8] + f[:, 9]).sum())

    def ends_of(self, k):
        """`leg`, `arc` or `mill` for the upstream and the downstream end of a piece."""
        marks = {m["upstream"]: m for m in self.pieces[k]["marks"]}
        kind = lambda m: "mill" if m["mill_end"] else "arc" if m["on"] == "arc" else "leg"  # noqa: E731
        return kind(marks[True]), kind(marks[False])

    def errors(self, rng, shop, welded):
        """Figures with random errors on the first `welded` pieces, and the moved start."""
        f = self.drawn.copy()
        items = {}
        for k in range(welded):
            n = rng.standard_normal
            faces = 1 if k == 0 else 2
            f[k, 0] += shop["gap"] * n() + shop["shrinkage_sd"] * n() + shop["mean"]
            f[k, 1:3] += shop["step"] * n(2)
            f[k, 3:5] += shop["squareness"] * np.sqrt(faces) * n(2) + shop["pull"] * n(2)
            f[k, 5] += shop["clocking"] * n()
            if not self.clr[k]:
                f[k, 6] += shop["cut"] * n()
                continue
            clr, angle, item = self.clr[k], self.drawn[k, 8], self.items[k]
            out = clr + 0.5 * self.od
            whole = abs(item["angle_deg"] * DEG - angle) < 1e-6
            for end, column in zip(self.ends_of(k), (6, 9)):
                if end == "mill":
                    f[k, column] += shop["leg"] * n()
                elif end == "leg":
                    f[k, column] += shop["cut"] * n()
                elif not whole:
                    f[k, 8] += shop["cut"] / out * n()
            if whole:
                f[k, 8] += shop["bend_angle"] * n()
            legs = [c for c in (6, 9) if self.drawn[k, c] > 1e-3]
            if len(legs) == 1 and not whole:
                t = shop["tangent_line"] * n()
                f[k, legs[0]] += t
                f[k, 8] -= t / out
            r = items.setdefault(item["id"], shop["clr"] * n())
            f[k, 7] += clr * r
            if not whole:
                f[k, 8] -= angle * r * clr / out
        start = self.start.copy()
        start[:3, 3] += shop["port"] * rng.standard_normal(3)
        start = start @ turn(1, shop["port_angle"] * rng.standard_normal()) @ turn(2, shop["port_angle"] * rng.standard_normal())
        return f, start


def usual(wall):
    shrinkage = 0.3 if wall <= 1.8 else 0.8
    return {
        "cut": 0.5, "squareness": 0.25 * DEG, "clocking": 1.0 * DEG, "bend_angle": 1.0 * DEG, "clr": 0.01,
        "tangent_line": 1.0, "leg": 1.0, "gap": 0.1, "step": 0.2, "shrinkage_sd": shrinkage / 3, "mean": -shrinkage,
        "pull": 0.4 * DEG, "port": 0.5, "port_angle": 0.25 * DEG, "inlet": 1.0, "inlet_angle": 0.5 * DEG,
    }  # fmt: skip


def least(run, welded, start, target, axis, longest, saw):
    """The least correction behind `welded` pieces that end in `start`, by SciPy's SLSQP; None when it finds none."""
    rest = list(range(welded, len(run.pieces)))
    drawn = run.drawn
    variables = []
    for k in rest:
        if run.clr[k]:
            least_arc = min(saw["min_arc"] * DEG, drawn[k, 8])
            leg = max(longest.get(round(run.clr[k], 3), 0.0), drawn[k, 6], drawn[k, 9])
            variables += [(k, 5, 8 * DEG, -np.pi, np.pi), (k, 6, 20.0, 0.0, leg)]
            variables += [(k, 8, 5 * DEG, least_arc, drawn[k, 8] + 60 * DEG), (k, 9, 20.0, 0.0, leg)]
        else:
            variables.append((k, 6, 20.0, min(saw["min_straight"], drawn[k, 6]), 1000.0))

    def figures(y):
        f = drawn.copy()
        for (k, column, size, _, _), v in zip(variables, y):
            f[k, column] += v * size
        return f

    def objective(y):
        longer = (run.length(figures(y)) - run.length(drawn)) / 3.0
        return float(y @ y + longer**2)

    sides = frame(target, axis, [0.3, 0.5, 0.8])

    def missed(y):
        _, ends = run.frames(figures(y)[rest], start)
        return np.concatenate([ends[-1][:3, 3] - target, 100.0 * (ends[-1][:3, 0] @ sides[:3, 1:3])])

    bounds = []
    for k, column, size, low, high in variables:
        free = column == 5
        bounds.append(((low - (0 if free else drawn[k, column])) / size, (high - (0 if free else drawn[k, column])) / size))
    found = minimize(
        objective, np.zeros(len(variables)), method="SLSQP", bounds=bounds,
        constraints={"type": "eq", "fun": missed}, options={"maxiter": 500, "ftol": 1e-12},
    )  # fmt: skip
    if not found.success or np.abs(missed(found.x)).max() > 1e-5:
        return None
    return found.fun
