"""Puts the collectors of every example together from their templates and solids.

    python check.py PROGRAM EXAMPLES FOLDER MODULES
"""

import json
import math
import re
import shutil
import subprocess
import sys
from fractions import Fraction
from pathlib import Path

CHECKS = Path(__file__).parent.parent
sys.path[:0] = [str(CHECKS), str(CHECKS / "exports")]

import ezdxf
import manifold3d
import numpy as np
import read_step
import ready
import trimesh
from ezdxf.path import make_path
from OCP.BRepAlgoAPI import BRepAlgoAPI_Common
from OCP.BRepExtrema import BRepExtrema_DistShapeShape

try:
    import tomllib
except ModuleNotFoundError:  # Python 3.10
    import pip._vendor.tomli as tomllib

import nasty

PROGRAM, EXAMPLES, FOLDER, MODULES = sys.argv[1:5]
GAP, TURN = 0.3, 0.1
PAPER = 0.1  # mm, thickness of the template's paper: it is drawn half of it larger in radius


def tubewright(*words):
    done = subprocess.run([PROGRAM, *map(str, words)], capture_output=True, text=True)
    assert done.returncode == 0, f"tubewright {words}: exit {done.returncode}\n{done.stderr}"


def unit(v):
    v = np.array(v, float)
    return v / np.linalg.norm(v)


def frame_of(job, routes, collector, scale):
    """Origin, flow, right and up: as it was moved, else as it was drawn."""
    moved = {c["name"]: c for c in routes.get("collector", [])}.get(collector["name"], collector)
    flow = unit(moved["axis"])
    up = np.array(moved["up"], float)
    up = unit(up - flow * float(up @ flow))
    return np.array(moved["at"], float) * scale, flow, np.cross(flow, up), up


def offsets(collector, pitch):
    """Inlets as (right, up): a line, a square from the upper left clockwise, a ring from the top clockwise."""
    n, pattern = collector["inlets"], collector.get("pattern")
    pattern = pattern or {1: "line", 2: "line", 3: "triangle", 4: "square"}.get(n, "ring")
    if pattern == "line":
        return [(pitch * (i - (n - 1) / 2), 0.0) for i in range(n)]
    if pattern == "square":
        h = pitch / 2
        return [(-h, h), (h, h), (h, -h), (-h, -h)]
    r = pitch / 2 / math.sin(math.pi / n)
    return [(r * math.sin(2 * math.pi * i / n), r * math.cos(2 * math.pi * i / n)) for i in range(n)]


def length(value, scale):
    """A length of the job in mm."""
    if not isinstance(value, str):
        return value * scale
    number, word = re.fullmatch(r"([\d./ ]+?)\s*(in|mm)", value).groups()
    return float(sum(Fraction(p) for p in number.split())) * (25.4 if word == "in" else 1.0)


def cut_curve(path):
    """The curve of a wrap template: angles and heights."""
    document = ezdxf.readfile(path)
    scale = 25.4 if document.header["$INSUNITS"] == 1 else 1.0
    lines = [e for e in document.modelspace() if e.dxf.layer == "CUT" and e.dxftype() == "POLYLINE"]
    curve = max((list(make_path(e).flattening(0.0005)) for e in lines), key=len)
    points = np.array([(p.x, p.y) for p in curve]) * scale
    return 2 * math.pi * (points[:, 0] - points[0, 0]) / (points[-1, 0] - points[0, 0]), points[:, 1]


def cut_tube(phi, s, od, wall, below):
    """The solid between a square end `below` the start plane and the curve, along z, 0 of the template along +x."""
    phi, s = phi[:-1], s[:-1]
    n = len(phi)
    ring = lambda r, z: np.stack([r * np.cos(phi), r * np.sin(phi), np.broadcast_to(z, phi.shape)], axis=1)
    rings = [ring(od / 2, -below), ring(od / 2, s), ring(od / 2 - wall, s), ring(od / 2 - wall, -below)]
    faces = []
    for k in range(4):
        for i in range(n):
            a, b = k * n + i, k * n + (i + 1) % n
            c, d = (k + 1) % 4 * n + (i + 1) % n, (k + 1) % 4 * n + i
            faces += [(a, b, c), (a, c, d)]
    mesh = trimesh.Trimesh(np.concatenate(rings), faces, process=False)
    if mesh.volume < 0:
        mesh.invert()
    assert mesh.is_watertight
    return mesh


def placed(mesh, x, y, z, at):
    turn = np.eye(4)
    turn[:3, 0], turn[:3, 1], turn[:3, 2], turn[:3, 3] = x, y, z, at
    out = mesh.copy()
    out.apply_transform(turn)
    return out


def solid(mesh):
    return manifold3d.Manifold(manifold3d.Mesh(np.asarray(mesh.vertices, np.float32), np.asarray(mesh.faces, np.uint32)))


def merge(name, job, collector, body, tube, folder, scale):
    """The tubes cut by their template around the axis z."""
    od, wall = tube
    places = offsets(collector, od + length(collector.get("gap", 0.0), scale))
    lean = math.radians(body["lean"])
    phi, s = cut_curve(folder / "dxf" / f"collector-{name.replace(' ', '-')}-merge.dxf")
    one = cut_tube(phi, s, od, wall, 30.0)
    tubes, n = [], len(places)
    for right, up in places:
        out = unit([right, up, 0.0])
        way = np.array([0, 0, math.cos(lean)]) - out * math.sin(lean)
        # 0 of the template looks away from the axis.
        x = unit(out - way * float(out @ way))
        tubes.append(placed(one, x, np.cross(way, x), way, [right, up, 0.0]))
    rings = [t.vertices[len(phi) - 1 : 2 * (len(phi) - 1)] for t in tubes]
    outlet = max(r[:, 2].max() for r in rings)
    worst, seam = 0.0, 0
    for i, ring in enumerate(rings):
        others = [tubes[j] for j in range(n) if j != i]
        inner = ring[ring[:, 2] < outlet - 0.05]
        seam += len(inner)
        near = np.min([trimesh.proximity.closest_point(o, inner)[1] for o in others], axis=0)
        worst = max(worst, near.max(), outlet - ring[ring[:, 2] >= outlet - 0.05][:, 2].min())
    assert seam > 0, f"{name}: no tube meets another"
    share = max((solid(tubes[i]) ^ solid(tubes[j])).volume() for i in range(n) for j in range(i)) / one.volume
    assert worst <= GAP, f"{name}: a gap of {worst} mm along the seams"
    assert share <= 0.01, f"{name}: tubes share {share:.2%} of one"
    assert abs(outlet - body["height"]) <= GAP, f"{name}: the outlet lies {outlet} mm over the inlets, not {body['height']}"
    return worst, share


def ends(job, routes, collector, beyond, lean, od, scale, units):
    """Every run's end against its inlet's true end."""
    origin, flow, right, up = frame_of(job, routes, collector, scale)
    places = offsets(collector, od + length(collector.get("gap", 0.0), scale))
    worst = [0.0, 0.0]
    for kind in ("primary", "secondary"):
        for route in routes.get(kind, []):
            if route.get("collector", route.get("to")) != collector["name"]:
                continue
            r, u = places[route["inlet"] - 1]
            off = right * r + up * u
            axis = flow * math.cos(lean) - (unit(off) if lean else off) * math.sin(lean)
            points = [np.array(p, float) * units for p in route["points"]]
            off_by = float(np.linalg.norm(points[-1] - (origin + off + axis * beyond)))
            turn = math.degrees(math.acos(min(1.0, float(unit(points[-1] - points[-2]) @ axis))))
            worst = [max(worst[0], off_by), max(worst[1], turn)]
    assert worst[0] <= GAP and worst[1] <= TURN, f"{collector['name']}: a run ends {worst[0]} mm and {worst[1]} degrees off"
    return worst


def distance(a, b):
    found = BRepExtrema_DistShapeShape(a, b)
    assert found.IsDone()
    return found.Value()


def last_pieces(plan, routes, name):
    """Inlet and mark of the last piece of every run into a collector."""
    for route in routes.get("primary", []):
        if route.get("collector") == name:
            pieces = [p for p in plan["pieces"] if p["run"] == f"primary {route['cylinder']}"]
            yield route["inlet"], max(pieces, key=lambda p: p["to"])["mark"]


def fits(plan, routes, collector, body, parts, wanted, hole):
    """Last pieces in their sleeves or holes: nothing in common, the wanted gap."""
    worst = 0.0
    for inlet, mark in last_pieces(plan, routes, collector["name"]):
        part = parts[f"{collector['name']} {hole(inlet)}"]
        shared = read_step.volume_of(BRepAlgoAPI_Common(parts[mark], part).Shape())
        assert shared < 1.0, f"{mark} and {hole(inlet)} share {shared} mm3"
        off = abs(distance(parts[mark], part) - wanted)
        worst = max(worst, off)
    assert worst <= 0.05, f"{collector['name']}: a gap is {worst} mm off"
    return worst


def check(folder):
    out = folder / "exports"
    tubewright("export", folder, "-f", "step,dxf", "-o", out)
    job = tomllib.loads((folder / "job.toml").read_text(encoding="utf-8"))
    routes = tomllib.loads((folder / "routes.toml").read_text(encoding="utf-8"))
    plan = json.loads((folder / "cutplan.json").read_text(encoding="utf-8"))
    scale = 25.4 if job.get("units") == "in" else 1.0
    units = 25.4 if routes.get("units", job.get("units")) == "in" else 1.0
    tube = nasty.tube(job, "primary")
    parts = read_step.solids(next(out.glob("*.step")))
    for collector in job["collector"]:
        body = {"lean": 7.5, **collector["body"]}
        made, said = body["made"], ""
        lean = math.radians(body["lean"]) if made == "merge" else 0.0
        name, beyond = collector["name"], 0.0
        if made == "merge":
            n, pitch = collector["inlets"], tube[0] + length(collector.get("gap", 0.0), scale)
            outlet = length(body["outlet_od"], scale) if "outlet_od" in body else (tube[0] - 2 * tube[1]) * math.sqrt(2) + 2 * tube[1]
            ring = pitch / 2 / math.sin(math.pi / n)
            body["height"] = (ring + tube[0] / 2 / math.cos(lean) - outlet / 2) / math.tan(lean)
            beyond = body["height"] / math.cos(lean)
            gap, share = merge(name, job, collector, body, tube, out, scale)
            said = f"seams within {gap:.4f} mm, {share:.2%} lapped"
        elif made == "slip":
            beyond = length(body["insertion"], scale)
            clearance = length(body["clearance"], scale)
            off = fits(plan, routes, collector, body, parts, clearance / 2, lambda i: f"sleeve {i}")
            said = f"clearance within {off:.4f} mm"
        elif made == "plate":
            off = fits(plan, routes, collector, body, parts, 0.0, lambda i: "plate")
            said = f"holes within {off:.4f} mm"
        off, turn = ends(job, routes, collector, beyond, lean, tube[0], scale, units)
        print(f"{folder.name}, {name} ({made}): {said}; runs end within {off:.4f} mm and {turn:.4f} degrees", flush=True)


def main():
    work = Path(FOLDER)
    shutil.rmtree(work, ignore_errors=True)
    work.mkdir(parents=True)
    for example in sorted(Path(EXAMPLES).iterdir()):
        folder = work / example.name
        ready.example(PROGRAM, example, folder)
        check(folder)
    plate = work / "plate"
    shutil.copytree(Path(EXAMPLES) / "straight-six", plate)
    text = (plate / "job.toml").read_text(encoding="utf-8")
    merge = 'body = { made = "merge" }'
    assert merge in text
    (plate / "job.toml").write_text(text.replace(merge, 'body = { made = "plate", length = 150.0 }'), encoding="utf-8")
    tubewright("build", plate, "-o", plate, "--effort", "0")
    check(plate)
    print("all collectors go together", flush=True)


main()
