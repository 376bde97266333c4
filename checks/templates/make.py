#!/usr/bin/env python3
"""Writes expected.csv: heights of cuts around a tube, found by Open CASCADE on solids.

    pip install cadquery-ocp numpy && python3 make.py

Every line along the branch is met with the faces of a solid made by the kernel; nothing here knows a closed form.
"""
import csv
import math
import pathlib

import numpy as np
from OCP.BRepAlgoAPI import BRepAlgoAPI_Common, BRepAlgoAPI_Cut
from OCP.BRepPrimAPI import BRepPrimAPI_MakeBox, BRepPrimAPI_MakeCylinder, BRepPrimAPI_MakeHalfSpace, BRepPrimAPI_MakeTorus
from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeFace
from OCP.gp import gp_Ax2, gp_Dir, gp_Lin, gp_Pln, gp_Pnt
from OCP.IntCurvesFace import IntCurvesFace_ShapeIntersector

HERE = pathlib.Path(__file__).parent
ANGLES = range(0, 360, 15)


def pnt(v):
    return gp_Pnt(*map(float, v))


def direction(v):
    return gp_Dir(*map(float, v))


def meets(shape, start, way, begin, end):
    """Lengths along a line at which it meets the faces of a shape, rising."""
    finder = IntCurvesFace_ShapeIntersector()
    finder.Load(shape, 1e-7)
    finder.Perform(gp_Lin(pnt(start), direction(way)), begin, end)
    return sorted(finder.WParameter(i) for i in range(1, finder.NbPnt() + 1))


def around(way, first, second, r, phi):
    return r * (first * math.cos(phi) + second * math.sin(phi))


def cope(branch_od, run_od, angle, offset):
    """The run lies along x; the branch leaves in the plane x, z; phi = 0 looks to the acute side."""
    run = BRepPrimAPI_MakeCylinder(gp_Ax2(gp_Pnt(-1000, 0, 0), gp_Dir(1, 0, 0)), run_od / 2, 2000).Shape()
    t = math.radians(angle)
    way = np.array([math.cos(t), 0, math.sin(t)])
    first = np.array([math.sin(t), 0, -math.cos(t)])
    second = np.cross(way, first)
    for phi in ANGLES:
        start = second * offset + around(way, first, second, branch_od / 2, math.radians(phi))
        # The last meeting with the run, seen from the run outwards.
        yield phi, meets(run, start, way, -500, 500)[-1]


def bend(branch_od, run_od, clr, angle, at, out, lean):
    torus = BRepPrimAPI_MakeTorus(clr, run_od / 2, math.radians(angle)).Shape()
    a, o, l = map(math.radians, (at, out, lean))
    radial, along = np.array([math.cos(a), math.sin(a), 0]), np.array([-math.sin(a), math.cos(a), 0])
    square = radial * math.cos(o) + np.array([0, 0, 1]) * math.sin(o)
    way = square * math.cos(l) + along * math.sin(l)
    first = along * math.cos(l) - square * math.sin(l)
    second = np.cross(way, first)
    reach = 2 * (branch_od / 2 + run_od)
    for phi in ANGLES:
        start = radial * clr + around(way, first, second, branch_od / 2, math.radians(phi))
        yield phi, meets(torus, start, way, -reach, reach)[-1]


def merge(tubes, od, gap, lean, outlet_od):
    """A tube cut by the kernel: the wedge between the planes to its neighbours, below the outlet's plane."""
    r, b = od / 2, math.radians(lean)
    d = (od + gap) / 2 / math.sin(math.pi / tubes)
    height = (d + r / math.cos(b) - outlet_od / 2) / math.tan(b)
    way, start = np.array([-math.sin(b), 0, math.cos(b)]), np.array([d, 0, 0])
    first, second = np.array([math.cos(b), 0, math.sin(b)]), np.array([0, 1.0, 0])
    tube = BRepPrimAPI_MakeCylinder(gp_Ax2(pnt(start - way * 200), direction(way)), r, 1500).Shape()
    half = math.pi / tubes
    for sign in (1, -1):
        normal = np.array([math.sin(half), -sign * math.cos(half), 0])
        plane = BRepBuilderAPI_MakeFace(gp_Pln(gp_Pnt(0, 0, 0), direction(normal))).Face()
        kept = BRepPrimAPI_MakeHalfSpace(plane, pnt(normal * 1000)).Solid()
        tube = BRepAlgoAPI_Common(tube, kept).Shape()
    above = BRepPrimAPI_MakeBox(pnt([-2000, -2000, height]), pnt([2000, 2000, 3000])).Shape()
    tube = BRepAlgoAPI_Cut(tube, above).Shape()
    for phi in ANGLES:
        # Just within the tube's outside, so that the line meets what cuts the tube and not its own side.
        line = start + around(way, first, second, r * (1 - 1e-7), math.radians(phi))
        yield phi, meets(tube, line, way, -150, 1500)[-1]


def mitre(od, tilt):
    """A tube along z cut by a plane tilted from square; high at phi = 0."""
    t = math.radians(tilt)
    tube = BRepPrimAPI_MakeCylinder(gp_Ax2(gp_Pnt(0, 0, -500), gp_Dir(0, 0, 1)), od / 2, 1000).Shape()
    normal = np.array([-math.sin(t), 0, math.cos(t)])
    plane = BRepBuilderAPI_MakeFace(gp_Pln(gp_Pnt(0, 0, 0), direction(normal))).Face()
    tube = BRepAlgoAPI_Common(tube, BRepPrimAPI_MakeHalfSpace(plane, pnt(-normal * 1000)).Solid()).Shape()
    for phi in ANGLES:
        p = math.radians(phi)
        line = [od / 2 * (1 - 1e-7) * math.cos(p), od / 2 * (1 - 1e-7) * math.sin(p), 0]
        yield phi, meets(tube, line, [0, 0, 1], -400, 400)[-1]


CUTS = [
    (cope, (44.45, 50.8, 90, 0)),
    (cope, (44.45, 44.45, 90, 0)),
    (cope, (44.45, 50.8, 45, 0)),
    (cope, (44.45, 60, 60, 0)),
    (cope, (38.1, 50.8, 30, 5)),
    (cope, (31.75, 63.5, 72.5, -12)),
    (bend, (38.1, 44.45, 76.2, 90, 45, 0, 0)),
    (bend, (38.1, 44.45, 76.2, 120, 50, 70, 0)),
    (bend, (34.0, 48.3, 57.15, 180, 90, 180, 0)),
    (bend, (31.75, 50.8, 101.6, 90, 40, 30, 35)),
    (bend, (31.75, 50.8, 101.6, 90, 55, -110, -25)),
    (merge, (2, 44.45, 2, 7.5, 57.15)),
    (merge, (3, 41.275, 2, 10, 63.5)),
    (merge, (4, 44.45, 0, 7.5, 76.2)),
    (merge, (4, 44.45, 2, 8, 63.5)),
    (merge, (6, 38.1, 1, 12, 88.9)),
    (mitre, (44.45, 7.5)),
    (mitre, (76.2, 11.25)),
    (mitre, (101.6, 22.5)),
]


def main():
    with open(HERE / "expected.csv", "w", newline="") as file:
        out = csv.writer(file, lineterminator="\n")
        out.writerow(["kind", "a", "b", "c", "d", "e", "f", "g", "phi", "s"])
        for kind, measures in CUTS:
            cells = list(measures) + [""] * (7 - len(measures))
            for phi, s in kind(*measures):
                out.writerow([kind.__name__, *cells, phi, f"{s + 0.0:.4f}"])


main()
