#!/usr/bin/env python3
"""Writes given.json and expected.csv: tubes made at random, swept and measured by Open CASCADE.

    pip install cadquery-ocp numpy && python3 make.py

The centreline is built from straights (gp_Lin) and true circular arcs (GC_MakeArcOfCircle) with plain
vector algebra here; its length, the volume of the solid swept from a circle along it and the least
distance between two such solids all come from the kernel.
"""
import csv
import json
import math
import pathlib
import random

import numpy as np
from OCP.BRepAdaptor import BRepAdaptor_CompCurve
from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeEdge, BRepBuilderAPI_MakeFace, BRepBuilderAPI_MakeWire
from OCP.BRepExtrema import BRepExtrema_DistShapeShape
from OCP.BRepGProp import BRepGProp
from OCP.BRepOffsetAPI import BRepOffsetAPI_MakePipe
from OCP.GC import GC_MakeArcOfCircle
from OCP.GCPnts import GCPnts_AbscissaPoint
from OCP.gp import gp_Ax2, gp_Circ, gp_Dir, gp_Pnt
from OCP.GProp import GProp_GProps

HERE = pathlib.Path(__file__).parent
CLRS = [57.15, 66.675, 76.2, 101.6]


def pnt(v):
    return gp_Pnt(*map(float, v))


def unit(v):
    return v / np.linalg.norm(v)


def random_tube(rng, start):
    """Intersection points and radii, each bend 15 to 150 degrees."""
    while True:
        points, d = [np.array(start)], unit(np.array([rng.gauss(0, 1) for _ in range(3)]))
        radii = []
        for _ in range(rng.randint(1, 4)):
            points.append(points[-1] + d * rng.uniform(60, 260))
            radii.append(rng.choice(CLRS))
            axis = unit(np.cross(d, [rng.gauss(0, 1) for _ in range(3)]))
            a = math.radians(rng.uniform(15, 150))
            d = d * math.cos(a) + np.cross(axis, d) * math.sin(a)
        points.append(points[-1] + d * rng.uniform(60, 260))
        points = [np.round(p, 3) for p in points]
        u = [unit(b - a) for a, b in zip(points, points[1:])]
        set_back = [0.0] + [r * math.tan(math.acos(np.dot(a, b)) / 2) for r, a, b in zip(radii, u, u[1:])] + [0.0]
        legs = [np.linalg.norm(b - a) for a, b in zip(points, points[1:])]
        if all(leg > s + t + 1.0 for leg, s, t in zip(legs, set_back, set_back[1:])):
            return points, radii, u, set_back


def wire(points, radii, u, set_back):
    make = BRepBuilderAPI_MakeWire()
    at = points[0]
    for i, r in enumerate(radii):
        corner, t = points[i + 1], set_back[i + 1]
        begin, end = corner - u[i] * t, corner + u[i + 1] * t
        make.Add(BRepBuilderAPI_MakeEdge(pnt(at), pnt(begin)).Edge())
        turn = math.acos(np.dot(u[i], u[i + 1]))
        to_centre = unit(u[i + 1] - u[i])
        middle = corner + to_centre * (r / math.cos(turn / 2) - r)
        make.Add(BRepBuilderAPI_MakeEdge(GC_MakeArcOfCircle(pnt(begin), pnt(middle), pnt(end)).Value()).Edge())
        at = end
    make.Add(BRepBuilderAPI_MakeEdge(pnt(at), pnt(points[-1])).Edge())
    return make.Wire()


def swept(path, start, direction, radius):
    circle = gp_Circ(gp_Ax2(pnt(start), gp_Dir(*map(float, direction))), radius)
    profile = BRepBuilderAPI_MakeWire(BRepBuilderAPI_MakeEdge(circle).Edge()).Wire()
    return BRepOffsetAPI_MakePipe(path, BRepBuilderAPI_MakeFace(profile).Face()).Shape()


def measure(tube, radius):
    path = wire(*tube)
    solid = swept(path, tube[0][0], tube[2][0], radius)
    properties = GProp_GProps()
    BRepGProp.VolumeProperties_s(solid, properties, 1e-9)
    return solid, path, GCPnts_AbscissaPoint.Length_s(BRepAdaptor_CompCurve(path)), properties.Mass()


def main():
    rng = random.Random(20)
    given, rows = [], []
    while len(rows) < 60:
        radius = rng.choice([19.05, 20.65, 22.225, 23.8])
        a = random_tube(rng, (0.0, 0.0, 0.0))
        b = random_tube(rng, tuple(rng.uniform(-150, 150) for _ in range(3)))
        (solid_a, wire_a, length_a, volume_a), (solid_b, wire_b, length_b, volume_b) = measure(a, radius), measure(b, radius)
        gap = BRepExtrema_DistShapeShape(solid_a, solid_b)
        axes = BRepExtrema_DistShapeShape(wire_a, wire_b)
        if not (gap.IsDone() and axes.IsDone()):
            continue
        tubes = [{"points": [list(map(float, p)) for p in t[0]], "radii": t[1]} for t in (a, b)]
        given.append({"od": 2 * radius, "tubes": tubes})
        rows.append([len(rows), length_a, length_b, volume_a, volume_b, axes.Value(), gap.Value()])
        print(rows[-1], flush=True)
    (HERE / "given.json").write_text(json.dumps(given, indent=1) + "\n")
    with open(HERE / "expected.csv", "w", newline="") as f:
        out = csv.writer(f, lineterminator="\n")
        out.writerow(["case", "length_a_mm", "length_b_mm", "volume_a_mm3", "volume_b_mm3", "axes_mm", "gap_mm"])
        out.writerows([[r[0]] + ["%.6f" % v for v in r[1:]] for r in rows])


main()
