#!/usr/bin/env python3
"""Checks a cutplan.json against the job.toml and routes.toml of its folder, by the rules of cutting alone.

    python3 verify.py FOLDER [cutplan.json]      # exit code 0 and one line when all holds, else the faults and 1

Written apart from the program: it reads the files by itself and shares no code with it. Plain Python, no packages.
Only primaries of one tube are read.
"""
import json
import math
import pathlib
import re
import sys

try:
    import tomllib
except ImportError:  # Python 3.10
    from pip._vendor import tomli as tomllib

NEAR = 2e-3          # mm; cutplan.json is written with four decimals, points with three
NO_STRAIGHT = 5e-3   # mm; straights below it are what rounding of points leaves between two arcs
# Outside diameters of nominal pipe, inches: ASME B36.10M-2018, table 1.
PIPE_OD = {"1": 1.315, "1 1/4": 1.660, "1 1/2": 1.900, "2": 2.375, "2 1/2": 2.875, "3": 3.500}


def number(text):
    """A number as the trade writes it: 2, 2.5, 1/2, 1 5/8."""
    total = 0.0
    for part in text.split():
        top, _, bottom = part.partition("/")
        total += float(top) / float(bottom or 1)
    return total


def length(value, unit):
    """A length in mm: a bare number in the file's unit, or text with a unit."""
    if isinstance(value, (int, float)):
        return value * unit
    match = re.fullmatch(r"([\d ./]+)\s*(mm|in)", value.strip())
    return number(match[1]) * (25.4 if match[2] == "in" else 1.0)


def sub(a, b):
    return [x - y for x, y in zip(a, b)]


def dot(a, b):
    return sum(x * y for x, y in zip(a, b))


def cross(a, b):
    return [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]


def norm(a):
    return math.sqrt(dot(a, a))


def elements_of_points(points, radii):
    """Straights ("s", length) and arcs ("a", length, clr, same plane and sense as the arc before) of a route."""
    ways = [sub(b, a) for a, b in zip(points, points[1:])]
    lengths = [norm(w) for w in ways]
    ways = [[x / l for x in w] for w, l in zip(ways, lengths)]
    out, back, last_axis = [], 0.0, None
    for k, way in enumerate(ways):
        turn = setback = 0.0
        if k + 1 < len(ways):
            axis = cross(way, ways[k + 1])
            turn = math.atan2(norm(axis), dot(way, ways[k + 1]))
            setback = radii[k] * math.tan(turn / 2)
        straight = lengths[k] - back - setback
        if straight < -NEAR:
            raise SystemExit(f"the route's bends overlap before point {k + 1}")
        out.append(("s", max(straight, 0.0)))
        if turn > 1e-6:
            axis = [x / norm(axis) for x in axis]
            out.append(("a", radii[k] * turn, radii[k], last_axis is not None and dot(axis, last_axis) > 1 - 1e-6))
            last_axis = axis
        back = setback
    return out


def elements_of_steps(steps, unit):
    out = []
    for row in steps:
        out.append(("s", length(row[0], unit)))
        if len(row) > 1:
            clr = length(row[3], unit)
            same = abs(math.remainder(row[1], 360.0)) < 0.05
            out.append(("a", clr * math.radians(row[2]), clr, same and len(out) > 1))
    return out


def merge(elements):
    """Leaves out straights that are none; neighbouring arcs of one CLR, plane and sense are one (rule 1)."""
    out = []
    for e in elements:
        if e[0] == "s" and e[1] <= NO_STRAIGHT:
            continue
        if e[0] == "a" and out and out[-1][0] == "a" and e[3] and abs(out[-1][2] - e[2]) < 0.02:
            out[-1] = ("a", out[-1][1] + e[1], e[2])
        else:
            out.append(e[:3])
    return out


def between(elements, a, b):
    """What of a row of elements lies between two stations; slivers are left out."""
    out, at = [], 0.0
    for e in elements:
        taken = min(b, at + e[1]) - max(a, at)
        if taken > 3 * NEAR:
            out.append((e[0], taken, *e[2:]))
        at += e[1]
    return out


class Job:
    """What of a job the cutting needs, in mm, degrees as radians, money as written."""

    def __init__(self, folder):
        data = tomllib.loads((folder / "job.toml").read_text())
        unit = 25.4 if data.get("units") == "in" else 1.0
        tube = data["tube"]
        size = tube.get("size", "")
        pipe = re.match(r"([\d /]+?)\s*NPS", size)
        self.nominal = number(pipe[1]) * 25.4 if pipe else None
        if pipe:
            self.od = PIPE_OD[pipe[1].strip()] * 25.4
        elif size:
            self.od = length(size.split("x")[0], unit)
        else:
            self.od = length(tube["od"], unit)
        stock = data["stock"]
        self.stock = {}
        for kind in ("bend", "straight", "remnant"):
            for i, item in enumerate(stock.get(kind, [])):
                self.stock[f"{kind}:{i}"] = self.item(item, unit, kind)
        saw = data["saw"]
        self.kerf = length(saw["kerf"], unit)
        self.inside = saw.get("kerf_at", "inside") == "inside"
        self.min_straight = length(saw.get("min_straight", 0), unit)
        self.min_arc = math.radians(saw.get("min_arc", 0))
        cost = data["cost"]
        self.joint, self.cut = cost.get("joint", 0), cost.get("cut", 0)
        self.every_cut = cost.get("cut_per", "piece") == "saw"
        routes = tomllib.loads((folder / "routes.toml").read_text())
        unit = {"in": 25.4, "mm": 1.0}.get(routes.get("units"), unit)
        self.runs = {}
        for run in routes["primary"]:
            if "steps" in run:
                raw = elements_of_steps(run["steps"], unit)
            else:
                points = [[length(x, unit) for x in p] for p in run["points"]]
                raw = elements_of_points(points, [length(r, unit) for r in run.get("radii", [])])
            self.runs[f"primary {run['cylinder']}"] = (merge(raw), sum(e[1] for e in raw))

    def item(self, item, unit, kind):
        count = item.get("count", 1 if kind == "remnant" else None)
        if "elbow" in item:
            long = item["elbow"].startswith("LR")
            clr = self.nominal * (1.5 if long else 1.0)
            if long and self.nominal < 25:
                clr = 38.1
            angle, legs = float(item["elbow"].split()[1]), [0.0, 0.0]
        elif "clr" in item:
            clr, angle = length(item["clr"], unit), item["angle"]
            legs = [length(l, unit) for l in item.get("legs", [0, 0])]
        else:
            return {"parts": [("s", length(item["length"], unit))], "price": item.get("price", 0), "count": count}
        parts = [("s", legs[0]), ("a", clr * math.radians(angle), clr), ("s", legs[1])]
        return {"parts": parts, "price": item.get("price", 0), "count": count}


def least_gap(job, parts, end, start, fault):
    """What the saw takes between two pieces of one item (rules 3 and 4)."""
    if len(parts) == 1:
        return job.kerf
    first, clr = parts[0][1], parts[1][2]
    second = first + parts[1][1]
    if end <= first + NEAR and start >= first - NEAR:
        if end > first - job.kerf + NEAR:
            fault(f"the cut at {first:.3f} does not lie on the leg")
        return job.kerf
    if start >= second - NEAR and end <= second + NEAR:
        if start < second + job.kerf - NEAR:
            fault(f"the cut at {second:.3f} does not lie on the leg")
        return job.kerf
    if end < first or start > second:
        return job.kerf
    return clr * math.asin(job.kerf / (clr - job.od / 2 if job.inside else clr))


def check_piece(job, piece, parts, run, fault):
    a, b = piece["at"]
    total = sum(p[1] for p in parts)
    if a < -NEAR or b > total + NEAR or b <= a:
        fault("lies outside its item")
    wanted = between(run, piece["from"], piece["to"])
    cut = between(parts, a, b)
    if piece["reversed"]:
        cut.reverse()
    same = len(wanted) == len(cut) and all(
        w[0] == c[0] and abs(w[1] - c[1]) < 4 * NEAR and (w[0] == "s" or abs(w[2] - c[2]) < 0.02)
        for w, c in zip(wanted, cut))
    if not same:
        fault(f"the route wants {wanted}, the item gives {cut}")
    arcs = [w for w in wanted if w[0] == "a"]
    if len(arcs) > 1:
        fault("has two arcs")
    if not arcs and piece["to"] - piece["from"] < job.min_straight - NEAR:
        fault("is a straight shorter than the saw holds")
    at = 0.0
    for e in run:
        overlap = min(piece["to"], at + e[1]) - max(piece["from"], at)
        if e[0] == "a" and arcs and overlap > 3 * NEAR and overlap < min(job.min_arc * e[2], e[1]) - 2 * NEAR:
            fault("has less arc than the saw holds")
        at += e[1]


def check_item(job, item, parts, pieces, offcuts, fault):
    """Room between the pieces and beside the offcuts; returns the saw cuts (rule 5)."""
    total = sum(p[1] for p in parts)
    places = sorted(p["at"] for p in pieces)
    if not places:
        fault("is not used")
        return 0
    cuts = (places[0][0] > NEAR) + (places[-1][1] < total - NEAR)
    for (_, end), (start, _) in zip(places, places[1:]):
        least = least_gap(job, parts, end, start, fault)
        if start - end < least - NEAR:
            fault(f"{start - end:.4f} mm between {end:.3f} and {start:.3f}, the saw takes {least:.4f}")
        cuts += 1 if abs(start - end - least) <= NEAR else 2
    for a, b in offcuts:
        if a < -NEAR or b > total + NEAR or any(min(b, q) - max(a, p) > NEAR for p, q in places):
            fault(f"the offcut {a:.3f} to {b:.3f} is not free")
    return cuts


def verify(folder, plan):
    """All faults of a plan, and its cost, joints and cuts counted anew."""
    job, faults = Job(folder), []
    items = {i["id"]: i for i in plan["items"]}
    for name, (run, total) in job.runs.items():
        at = 0.0
        for piece in sorted((p for p in plan["pieces"] if p["run"] == name), key=lambda p: p["from"]):
            def fault(text, mark=piece["mark"]):
                faults.append(f"piece {mark} {text}")
            if abs(piece["from"] - at) > NEAR:
                fault(f"begins at {piece['from']}, not at {at}")
            at = piece["to"]
            check_piece(job, piece, job.stock[items[piece["item"]]["stock"]]["parts"], run, fault)
        if abs(at - total) > NEAR:
            faults.append(f"{name} is covered up to {at} of {total:.4f}")
    faults += [f"{p['run']} is no run" for p in plan["pieces"] if p["run"] not in job.runs]
    cuts, price, used = 0, 0.0, {}
    for item in plan["items"]:
        kind = job.stock[item["stock"]]
        price += kind["price"]
        used[item["stock"]] = used.get(item["stock"], 0) + 1
        mine = [p for p in plan["pieces"] if p["item"] == item["id"]]
        offcuts = [o["at"] for o in plan["offcuts"] if o["item"] == item["id"]]
        cuts += check_item(job, item, kind["parts"], mine, offcuts, lambda t, i=item: faults.append(f"item {i['id']}: {t}"))
    for stock, n in used.items():
        if job.stock[stock]["count"] is not None and n > job.stock[stock]["count"]:
            faults.append(f"{n} of {stock} are used, there are {job.stock[stock]['count']}")
    pieces = len(plan["pieces"])
    joints = pieces - len(job.runs)
    cost = price + job.joint * joints + job.cut * (cuts if job.every_cut else pieces)
    for what, said, counted in (("cost", plan["cost"], cost), ("joints", plan["joints"], joints), ("cuts", plan["cuts"], cuts)):
        if abs(said - counted) > 1e-6:
            faults.append(f"{what}: the plan says {said}, counted {counted}")
    if plan["lower_bound"] > plan["cost"] + 1e-6 or plan["proven"] != (abs(plan["lower_bound"] - plan["cost"]) < 1e-6):
        faults.append("bound and proof do not agree with the cost")
    have = sum(sum(p[1] for p in job.stock[i["stock"]]["parts"]) for i in plan["items"])
    if abs(plan["yield"] - sum(t for _, t in job.runs.values()) / have) > 1e-3:
        faults.append(f"yield: the plan says {plan['yield']}")
    return faults, (cost, joints, cuts)


def main():
    folder = pathlib.Path(sys.argv[1])
    plan = json.loads(pathlib.Path(sys.argv[2] if len(sys.argv) > 2 else folder / "cutplan.json").read_text())
    faults, (cost, joints, cuts) = verify(folder, plan)
    print("\n".join(faults) or f"holds: cost {cost:.2f}, {joints} joints, {cuts} saw cuts")
    sys.exit(bool(faults))


if __name__ == "__main__":
    main()
