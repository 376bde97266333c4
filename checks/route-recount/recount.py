"""Holds routes to what their job asks, by plain sampling, without anything of the program's own code.

    python recount.py JOB_FOLDER [ROUTES_FILE]

Reads job.toml and routes.toml as the job format describes them, traces every run into points STEP mm apart and holds every
point against every other and every keep-out. Prints what is missed, one line each; ends with 1 when anything is.
"""

import math
import pathlib
import re
import sys
import tomllib
from fractions import Fraction

import numpy as np
import trimesh

STEP = 0.5  # mm between points; a gap found is too great by at most some thousandths
PLACE = 0.01  # mm by which a place or a length may be off: routes are written with three decimals
GAP = 0.02  # mm by which a gap may be short: the rounding of points and of the sampling
STRIDE = 24  # points of a run from one whose distance to a mesh is found first to the next
TURNS = (5.0, 165.0)  # degrees of one bend; common practice, no source

# Outside diameters of nominal pipe, mm: ASME B36.10M, SI columns.
NPS = {"1/2": 21.3, "3/4": 26.7, "1": 33.4, "1 1/4": 42.2, "1 1/2": 48.3, "2": 60.3, "2 1/2": 73.0, "3": 88.9, "4": 114.3}


# Walls of tube gauges, mm: Birmingham wire gauge, ASTM A513, from memory.
GAUGES = {"12": 2.769, "13": 2.413, "14": 2.108, "16": 1.651, "18": 1.245, "20": 0.889}


def number(text):
    return float(sum(Fraction(part) for part in text.split()))


class Units:
    def __init__(self, name):
        self.one = {"mm": 1.0, "in": 25.4}[name]

    def length(self, value):
        if not isinstance(value, str):
            return value * self.one
        found = re.fullmatch(r"\s*([\d./ ]+?)\s*(mm|cm|m|in|\")?\s*", value)
        return number(found[1]) * {"mm": 1, "cm": 10, "m": 1000, "in": 25.4, '"': 25.4, None: self.one}[found[2]]

    def point(self, values):
        return np.array([self.length(v) for v in values])

    def od(self, table):
        if "od" in table:
            return self.length(table["od"])
        size = table["size"]
        if "NPS" in size:
            return NPS[size.split("NPS")[0].strip()]
        return self.length(size.split("x")[0].strip())


    def wall(self, table):
        """The wall of a tube in mm, where it is given or named by a gauge."""
        if "wall" in table and "ga" not in str(table["wall"]):
            return self.length(table["wall"])
        text = str(table.get("wall", table.get("size", "x").split("x")[-1]))
        return GAUGES[text.split("ga")[0].strip()] if "ga" in text else self.length(text)


def unit(v):
    v = np.asarray(v, float)
    return v / np.linalg.norm(v)


class Trace:
    """Points of a centreline, their distance from the start, directions at both ends, turns and straights."""

    def __init__(self, points, radii):
        legs = [np.linalg.norm(b - a) for a, b in zip(points, points[1:])]
        dirs = [(b - a) / leg if leg > 1e-9 else None for a, b, leg in zip(points, points[1:], legs)]
        for i, d in enumerate(dirs):
            if d is None:
                dirs[i] = dirs[i - 1] if i else dirs[1]
        self.turns = [math.acos(np.clip(u @ w, -1, 1)) for u, w in zip(dirs, dirs[1:])]
        tangents = [r * math.tan(a / 2) for r, a in zip(radii, self.turns)]
        self.straights, out, at, stations = [], [points[0]], 0.0, [0.0]
        for i, d in enumerate(dirs):
            before = tangents[i - 1] if i else 0.0
            after = tangents[i] if i < len(tangents) else 0.0
            start, length = points[i] + d * before, legs[i] - before - after
            self.straights.append(length)
            n = max(math.ceil(max(length, 0) / STEP), 1)
            out += [start + d * (length * k / n) for k in range(1, n + 1)]
            stations += [at + length * k / n for k in range(1, n + 1)]
            at += length
            if i < len(tangents) and self.turns[i] > 1e-9:
                angle, radius = self.turns[i], radii[i]
                inward = unit(dirs[i + 1] - d * (d @ dirs[i + 1]))
                n = max(math.ceil(radius * angle / STEP), 1)
                for k in range(1, n + 1):
                    a = angle * k / n
                    out.append(start + d * length + radius * (d * math.sin(a) + inward * (1 - math.cos(a))))
                    stations.append(at + radius * a)
                at += radius * angle
        self.p, self.s, self.length = np.array(out), np.array(stations), at
        self.first, self.last, self.radii = dirs[0], dirs[-1], radii


class Run:
    pass


def inlets(collector, od, gap, units):
    """Centres of the inlets: DESIGN of the patterns as the job format describes them."""
    n, pitch = collector["inlets"], od + gap
    pattern = collector.get("pattern", {1: "line", 2: "line", 3: "triangle", 4: "square"}.get(n, "ring"))
    axis = unit(collector["axis"])
    up = np.asarray(collector.get("up", [0, 0, 1]), float)
    up = unit(up - axis * (axis @ up))
    if pattern == "line":
        flat = [((k - (n - 1) / 2) * pitch, 0.0) for k in range(n)]
    elif pattern == "square":
        h = pitch / 2
        flat = [(-h, h), (h, h), (h, -h), (-h, -h)]
    else:
        r = pitch / 2 / math.sin(math.pi / n)
        flat = [(r * math.sin(2 * math.pi * k / n), r * math.cos(2 * math.pi * k / n)) for k in range(n)]
    return axis, up, flat


class Body:
    """What a collector is behind its inlet plane, as the job format describes it. Lengths in mm."""

    def __init__(self, body, collector, tube, gap, units):
        self.made, n, self.od = body["made"], collector["inlets"], units.od(tube)
        pitch = self.od + gap
        wall = units.wall(body) if "wall" in body else None
        usual = lambda: (self.od - 2 * units.wall(tube)) * math.sqrt(2) + 2 * (wall or units.wall(tube))
        outlet = units.length(body["outlet_od"]) if "outlet_od" in body else usual()
        self.lean, self.beyond, self.sleeve, self.radii = 0.0, 0.0, self.od / 2, (self.od / 2, outlet / 2)
        if self.made == "merge":
            self.lean = math.radians(body.get("lean", 7.5))
            ring = pitch / 2 / math.sin(math.pi / n)
            height = (ring + self.od / 2 / math.cos(self.lean) - outlet / 2) / math.tan(self.lean)
            self.beyond = height / math.cos(self.lean)
        elif self.made == "slip":
            self.beyond = units.length(body["insertion"]) if "insertion" in body else max(self.od, 25.0)
            clearance = units.length(body.get("clearance", 0.5 / units.one))
            self.radii = (self.od / 2 + clearance / 2 + (wall or units.wall(tube)), outlet / 2)
        self.length = units.length(body["length"]) if "length" in body else None
        self.welded = self.beyond + pitch / 2 * math.tan(self.lean)

    def distance(self, p, at, axis, places):
        """From points to its nearest tube or cone, when it stands with its inlet plane at `at`; without a length and cone: none."""
        if self.made == "merge":
            parts = [distance_cylinder(p, a, b, self.od / 2) for a, b in places]
        elif self.length is not None:
            parts = [distance_cone(p, a, at + axis * self.length, *self.radii) for a, _ in places]
        else:
            return np.full(len(p), np.inf)
        return np.min(parts, axis=0)


def distance_cone(p, a, b, first, last):
    """From points outside a frustum to it: the nearest place of its outline in the half plane through the axis."""
    axis, length = unit(b - a), np.linalg.norm(b - a)
    along = (p - a) @ axis
    off = np.linalg.norm(p - a - np.outer(along, axis), axis=1)
    share = np.clip((along * length + (off - first) * (last - first)) / (length**2 + (last - first) ** 2), 0, 1)
    side = np.hypot(along - share * length, off - first - share * (last - first))
    ends = [np.hypot(along - x, np.maximum(off - r, 0)) for x, r in ((0.0, first), (length, last))]
    within = (along >= 0) & (along <= length) & (off <= first + (last - first) * along / length)
    return np.where(within, -1.0, np.minimum(side, np.minimum(*ends)))


def distance_box(p, box, units):
    axes = np.array([unit(a) for a in box.get("axes", np.eye(3))])
    q = np.abs((p - units.point(box["center"])) @ axes.T) - units.point(box["size"]) / 2
    return np.linalg.norm(np.maximum(q, 0), axis=1) + np.minimum(q.max(axis=1), 0)


def distance_cylinder(p, a, b, radius):
    axis, length = unit(b - a), np.linalg.norm(b - a)
    along = (p - a) @ axis
    off = np.linalg.norm(p - a - np.outer(along, axis), axis=1) - radius
    over = np.abs(along - length / 2) - length / 2
    return np.hypot(np.maximum(off, 0), np.maximum(over, 0)) + np.minimum(np.maximum(off, over), 0)


def distance_capsule(p, a, b, radius):
    along = np.clip((p - a) @ (b - a) / ((b - a) @ (b - a)), 0, 1)
    return np.linalg.norm(p - a - np.outer(along, b - a), axis=1) - radius


def mesh_of(folder, k):
    mesh = trimesh.load(folder / k["file"], force="mesh", process=False)
    mesh.apply_scale({"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4}[k.get("unit", "mm")])
    if "place" in k:
        raise SystemExit("meshes that are placed by three points are not traced here")
    return mesh


def distance_mesh(mesh, p, far):
    """Exact up to `far`; beyond it at least the distance of every STRIDE-th point less the way to it."""
    _, coarse, _ = trimesh.proximity.closest_point(mesh, p[::STRIDE])
    index = np.arange(len(p))
    beside = np.minimum((index + STRIDE // 2) // STRIDE, len(coarse) - 1)
    d = coarse[beside] - np.linalg.norm(p - p[beside * STRIDE], axis=1)
    near = d <= far
    if near.any():
        _, d[near], _ = trimesh.proximity.closest_point(mesh, p[near])
    return d


def distance(folder, k, p, units, far):
    shape = k["shape"]
    if shape == "box":
        return distance_box(p, k, units)
    if shape == "sphere":
        return np.linalg.norm(p - units.point(k["center"]), axis=1) - units.length(k["radius"])
    if shape == "mesh":
        return distance_mesh(k.setdefault("loaded", mesh_of(folder, k)), p, far)
    ends = units.point(k["from"]), units.point(k["to"]), units.length(k["radius"])
    return distance_cylinder(p, *ends) if shape == "cylinder" else distance_capsule(p, *ends)


def runs_of(job, routes, units):
    """The routed runs with what is asked of each."""
    ports = {p["cylinder"]: p for p in job.get("port", [])}
    collectors = {c["name"]: c for c in job.get("collector", [])}
    moved = {c["name"]: c for c in routes.get("collector", [])}
    tube = {"primary": job["tube"]}
    tube["secondary"] = job.get("secondary", {}).get("tube", job["tube"])
    tube["tail"] = job.get("tail_tube", tube["secondary"])
    fed = {c["feeds"] for c in collectors.values() if "feeds" in c}
    found, found_bodies = [], {}
    for kind in ("primary", "secondary", "tail"):
        for row in routes.get(kind, []):
            run = Run()
            run.kind, run.od = kind, units.od(tube[kind])
            run.points = [units.point(p) for p in row["points"]]
            run.trace = Trace(run.points, [units.length(r) for r in row["radii"]])
            run.into, run.inlet, run.leaves = row.get("collector", row.get("to")), row.get("inlet", 0), row.get("from")
            if kind == "primary":
                port = ports[row["cylinder"]]
                run.name = f"primary {row['cylinder']}"
                run.start = units.point(port["at"]), unit(port["axis"]), units.length(port.get("stub", 0))
            else:
                run.name = f"{kind} of {run.leaves}"
                run.start = None
            run.end = None
            if run.into in collectors:
                c = dict(collectors[run.into], **{k: v for k, v in moved.get(run.into, {}).items() if k != "name"})
                gap = units.length(c.get("gap", 0))
                entering = units.od(tube["secondary" if run.into in fed else "primary"])
                axis, up, flat = inlets(c, entering, gap, units)
                right = np.cross(axis, up)
                x, y = flat[run.inlet - 1]
                run.gap, run.welded = gap, 0.0
                at, stub = units.point(c["at"]), units.length(c.get("stub", 0))
                off = right * x + up * y
                run.end = at + off, axis, stub
                if "body" in c:
                    body = Body(c["body"], c, tube["secondary" if run.into in fed else "primary"], gap, units)
                    ways = [(right * u + up * v) for u, v in flat]
                    lean = lambda w: axis * math.cos(body.lean) - unit(w) * math.sin(body.lean) if body.lean else axis
                    run.end = at + off + lean(off) * body.beyond, lean(off), stub + body.beyond
                    run.welded = body.welded
                    found_bodies[run.into] = body, at, axis, [(at + w, at + w + lean(w) * body.beyond) for w in ways]
            found.append(run)
    return found, found_bodies


def body_gap(run, name, placed, asked):
    """The largest shortfall of a run to a collector's body, but beside the inlets that it enters and the outlet that it leaves."""
    body, *place = placed
    beside = 1.5 * run.od
    counts = np.ones(len(run.trace.p), bool)
    if run.into == name:
        counts &= run.trace.s < run.trace.length - run.end[2] - beside
    if run.leaves == name:
        counts &= run.trace.s > 60.0 + beside
    p = run.trace.p[counts]
    return float((asked + run.od / 2 - body.distance(p, *place)).max()) if len(p) else -np.inf


def ends(run):
    trace = run.trace
    if run.start:
        at, axis, stub = run.start
        yield "starts off its port by", np.linalg.norm(trace.p[0] - at) - PLACE
        yield "leaves off its axis, mrad, by", 1e3 * np.linalg.norm(trace.first - axis) - 0.3
        yield "has too short a first straight by", stub - trace.straights[0] - PLACE
    if run.end:
        at, axis, stub = run.end
        yield "ends off its inlet by", np.linalg.norm(trace.p[-1] - at) - PLACE
        yield "enters off its axis, mrad, by", 1e3 * np.linalg.norm(trace.last - axis) - 0.3
        yield "has too short a last straight by", stub - trace.straights[-1] - PLACE
    yield "has bends that overlap by", -min(trace.straights) - PLACE
    for turn in map(math.degrees, trace.turns):
        yield "turns too little or too much by", max(TURNS[0] - turn, turn - TURNS[1]) - 0.01


def tube_gap(a, b, asked):
    """The largest shortfall between two runs, mm."""
    need = np.full((len(a.trace.p), len(b.trace.p)), asked, np.float32)
    if a.into is not None and a.into == b.into and a.end is not None:
        od = max(a.od, b.od)
        zone = a.end[2] + 1.5 * od
        near_a, near_b = a.trace.length - a.trace.s <= zone, b.trace.length - b.trace.s <= zone
        need[np.ix_(near_a, near_b)] = min(asked, a.gap)
        # Within the collector both are one body.
        within = [r.trace.length - r.trace.s <= r.welded for r in (a, b)]
        need[np.ix_(*within)] = -np.inf
    for first, second in ((a, b), (b, a)):
        if first.into is not None and first.into == second.leaves:
            # Both are of one welded body there.
            zone = (first.end[2] if first.end else 0.0) + 1.5 * max(a.od, b.od)
            leave, enter = second.trace.s <= zone, first.trace.length - first.trace.s <= zone
            grid = np.ix_(enter, leave) if first is a else np.ix_(leave, enter)
            need[grid] = -np.inf
    d = np.sqrt(np.maximum(((a.trace.p[:, None, :] - b.trace.p[None, :, :]) ** 2).sum(-1), 0))
    return float((need + (a.od + b.od) / 2 - d).max())


def self_gap(run, asked):
    trace = run.trace
    p, s = trace.p[::4], trace.s[::4]
    far = np.abs(s[:, None] - s[None, :]) > 4 * run.od
    if not far.any():
        return -np.inf
    d = np.linalg.norm(p[:, None, :] - p[None, :, :], axis=-1)
    return float((asked + run.od - d)[far].max())


def keepout_gap(folder, run, k, general, units):
    need = units.length(k["clearance"]) if "clearance" in k else general
    inside = np.ones(len(run.trace.p), bool)
    if k.get("holds_ports"):
        first = run.start[2] if run.start else 0.0
        last = run.end[2] if run.end else 0.0
        inside = (run.trace.s >= first - 1e-6) & (run.trace.s <= run.trace.length - last + 1e-6)
    p = run.trace.p[inside]
    return float((need + run.od / 2 - distance(folder, k, p, units, np.max(need) + run.od / 2)).max()) if len(p) else -np.inf


def lengths(job, found, units):
    for kind, table in (("primary", job.get("length", {})), ("secondary", job.get("secondary", {}).get("length", {}))):
        these = [r for r in found if r.kind == kind]
        if "tolerance" not in table or not these:
            continue
        tolerance = units.length(table["tolerance"])
        if "target" in table:
            target = units.length(table["target"])
            for r in these:
                yield f"{r.name}: length is off by", abs(r.trace.length - target) - tolerance - PLACE
        else:
            all_of = [r.trace.length for r in these]
            yield f"{kind} runs are uneven by", max(all_of) - min(all_of) - tolerance - PLACE


def misses(folder, routes_file):
    job = tomllib.loads((folder / "job.toml").read_text())
    routes = tomllib.loads(routes_file.read_text())
    units = Units(job["units"])
    found, bodies = runs_of(job, routes, units)
    clear = job.get("clearance", {})
    tubes, general = units.length(clear.get("tubes", 0)), units.length(clear.get("keepouts", 0))
    out = [(f"{r.name}: {what}", by) for r in found for what, by in ends(r)]
    out += list(lengths(job, found, units))
    taken = [(r.into, r.inlet) for r in found if r.end is not None]
    out += [("two runs enter one inlet", float(len(taken) - len(set(taken))))]
    for i, a in enumerate(found):
        out.append((f"{a.name}: too close to itself by", self_gap(a, tubes) - GAP))
        for b in found[i + 1 :]:
            out.append((f"{a.name} and {b.name}: too close by", tube_gap(a, b, tubes) - GAP))
        for name, placed in bodies.items():
            out.append((f"{a.name} and the body of {name}: too close by", body_gap(a, name, placed, tubes) - GAP))
        for k in job.get("keepout", []):
            out.append((f"{a.name} and {k['name']}: too close by", keepout_gap(folder, a, k, general, units) - GAP))
    return [(what, by) for what, by in out if by > 0], len(out)


def main():
    folder = pathlib.Path(sys.argv[1])
    routes_file = pathlib.Path(sys.argv[2]) if len(sys.argv) > 2 else folder / "routes.toml"
    missed, asked = misses(folder, routes_file)
    for what, by in missed:
        print(f"{what} {by:.3f}")
    print(f"{asked} requirements, {len(missed)} missed")
    sys.exit(1 if missed else 0)


if __name__ == "__main__":
    main()
