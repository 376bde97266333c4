"""DXF by ezdxf, SVG as XML, CSV by the csv module, XLSX by openpyxl."""

import csv
import math
import re
import xml.etree.ElementTree as xml
from fractions import Fraction
from pathlib import Path

try:
    import tomllib
except ModuleNotFoundError:  # Python 3.10
    import pip._vendor.tomli as tomllib

import ezdxf
import numpy as np
import openpyxl
from ezdxf import recover
from ezdxf.path import make_path

import closed_form


def check_dxf(path, units):
    document, auditor = recover.readfile(path)
    assert not auditor.errors and not auditor.fixes, f"{path}: {auditor.errors} {auditor.fixes}"
    document = ezdxf.readfile(path)
    auditor = document.audit()
    assert not auditor.errors and not auditor.fixes, f"{path}: {auditor.errors} {auditor.fixes}"
    assert document.header["$INSUNITS"] == (1 if units == "in" else 4), path
    layers = {layer.dxf.name for layer in document.layers}
    assert {"CUT", "MARK", "FOLD", "DIMENSION", "TEXT"} <= layers, f"{path}: {layers}"
    cut = 0.0
    for entity in document.modelspace():
        assert entity.dxf.layer in layers, path
        if entity.dxftype() in ("LINE", "CIRCLE", "ARC", "POLYLINE") and entity.dxf.layer == "CUT":
            cut += curve_length(entity)
    return cut * (25.4 if units == "in" else 1.0)


def loop_area(entity):
    if entity.dxftype() == "CIRCLE":
        return math.pi * entity.dxf.radius**2
    p = [(v.x, v.y) for v in make_path(entity).flattening(0.0005)]
    return abs(sum(a[0] * b[1] - a[1] * b[0] for a, b in zip(p, p[1:] + p[:1]))) / 2


def plates(folder, job):
    """Volumes of the flanges, mm3: the area that their drawings leave times the thickness that flange.toml gives."""
    file = job / "flange.toml"
    said = tomllib.loads(file.read_text(encoding="utf-8")) if file.is_file() else {}
    inch = {"in": 25.4}.get(said.get("units", "mm"), 1.0)
    out = {}
    for dxf in folder.glob("flange-*.dxf"):
        name = dxf.stem.replace("flange-", "", 1).replace("-", " ")
        own = next((f for f in said.get("flange", []) if f["name"] == name), None)
        if own is None and not re.fullmatch(r"port \d+", name):
            continue
        thick = (own or {}).get("thickness", 10.0 / inch)
        thick = float(Fraction(thick.split()[0])) if isinstance(thick, str) else thick
        document = ezdxf.readfile(dxf)
        scale = 25.4 if document.header["$INSUNITS"] == 1 else 1.0
        loops = [loop_area(e) for e in document.modelspace() if e.dxf.layer == "CUT" and e.dxftype() in ("CIRCLE", "POLYLINE")]
        out[f"flange {name}"] = (2 * max(loops) - sum(loops)) * scale**2 * thick * inch
    return out


def curve_length(entity):
    if entity.dxftype() == "CIRCLE":
        return 2 * math.pi * entity.dxf.radius
    if entity.dxftype() == "ARC":
        return entity.dxf.radius * math.radians((entity.dxf.end_angle - entity.dxf.start_angle) % 360)
    points = list(make_path(entity).flattening(0.0005))
    return sum(a.distance(b) for a, b in zip(points, points[1:]))


def check_svg(path):
    """Well-formed, in mm, and the length of what is cut."""
    root = xml.parse(path).getroot()
    space = "{http://www.w3.org/2000/svg}"
    assert root.tag == space + "svg", path
    width = float(re.fullmatch(r"([\d.]+)mm", root.get("width")).group(1))
    assert abs(width - float(root.get("viewBox").split()[2])) < 1e-9, path
    assert not any("script" in e.tag for e in root.iter()), path
    total = 0.0
    for group in root.findall(space + "g"):
        if group.get("id") != "cut":
            continue
        for e in group:
            if e.tag == space + "circle":
                total += 2 * math.pi * float(e.get("r"))
            elif e.tag == space + "path":
                total += path_length(e.get("d"))
    return total


def path_length(data):
    total, at, first = 0.0, None, None
    for command, numbers in re.findall(r"([MLAZ])([^MLAZ]*)", data):
        v = [float(n) for n in numbers.split()]
        if command == "M":
            at = first = np.array(v)
        elif command == "L":
            total += float(np.linalg.norm(np.array(v) - at))
            at = np.array(v)
        elif command == "A":
            end = np.array(v[5:])
            sine = min(1.0, float(np.linalg.norm(end - at)) / (2 * v[0]))
            angle = 2 * math.asin(sine)
            total += v[0] * (2 * math.pi - angle if v[3] else angle)
            at = end
        else:
            total += float(np.linalg.norm(first - at))
            at = first
    return total


def rows(path):
    with open(path, newline="", encoding="utf-8") as file:
        return list(csv.reader(file))


def check_bending(xyz, lra, job):
    """The points and the rows give back each run's length, and the points its place."""
    scale = 25.4 if job["units"] == "in" else 1.0
    table = rows(xyz)[1:]
    for run in job["runs"]:
        mine = [r for r in table if r[0] == run["name"]]
        points = [[float(v) * scale for v in r[2:5]] for r in mine]
        radii = [float(r[5]) * scale for r in mine[1:-1]]
        again, given = closed_form.legs(points, radii), closed_form.legs(run["points"], run["radii"])
        # The tube begins on its flange, on the run's first straight.
        start, leg = np.array(points[0]) - run["points"][0], np.array(run["points"][1]) - run["points"][0]
        taken = float(np.linalg.norm(start))
        beside = float(np.linalg.norm(np.cross(start, leg)) / np.linalg.norm(leg))
        assert beside < 0.02 and taken < np.linalg.norm(leg), f"{xyz}: {run['name']} begins {beside} mm beside its route"
        off = abs(closed_form.length(again) + taken - closed_form.length(given))
        assert off < 0.02, f"{xyz}: {run['name']} is {off} mm off"
        bends = [r for r in rows(lra)[1:] if r[0] == run["name"]]
        total = sum(float(r[2]) * scale for r in bends)
        total += sum(float(r[5]) * scale * math.radians(float(r[4])) for r in bends if r[4])
        assert abs(total + taken - closed_form.length(given)) < 0.05, f"{lra}: {run['name']}: {total}"


def check_tables(folder, base, job):
    marks = [p["mark"] for r in job["runs"] for p in r["pieces"]]
    for kind in ("cutlist", "quote"):
        table = rows(Path(folder) / f"{base}-{kind}.csv")
        book = openpyxl.load_workbook(Path(folder) / f"{base}-{kind}.xlsx")
        sheet = book.worksheets[0]
        assert [c.value for c in sheet[1]] == table[0], kind
        assert sheet.max_row == len(table), kind
        assert not any(c.data_type == "f" for row in sheet.iter_rows() for c in row), kind
        if kind == "cutlist":
            assert [c.value for c in sheet["A"][1:]] == marks == [r[0] for r in table[1:]], kind
