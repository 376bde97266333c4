"""STEP read by Open CASCADE: valid solids, exact faces, volumes, boxes, names, structure."""

import functools
import math

from OCP.Bnd import Bnd_Box
from OCP.BRepAdaptor import BRepAdaptor_Surface
from OCP.BRepBndLib import BRepBndLib
from OCP.BRepCheck import BRepCheck_Analyzer
from OCP.BRepGProp import BRepGProp
from OCP.GeomAbs import GeomAbs_SurfaceType as Kind
from OCP.GProp import GProp_GProps
from OCP.IFSelect import IFSelect_ReturnStatus
from OCP.STEPCAFControl import STEPCAFControl_Reader
from OCP.TCollection import TCollection_ExtendedString
from OCP.TDataStd import TDataStd_Name
from OCP.collections import Sequence_TDF_Label
from OCP.TDF import TDF_Label
from OCP.TDocStd import TDocStd_Document
from OCP.TopAbs import TopAbs_ShapeEnum
from OCP.TopExp import TopExp_Explorer
from OCP.TopoDS import TopoDS
from OCP.XCAFDoc import XCAFDoc_DocumentTool

import closed_form


def name_of(label):
    name = TDataStd_Name()
    return name.Get().ToExtString() if label.FindAttribute(TDataStd_Name.GetID_s(), name) else ""


def tree(tool, label):
    """Name, children and shape of a product."""
    parts = Sequence_TDF_Label()
    tool.GetComponents_s(label, parts)
    children = []
    for i in range(1, parts.Length() + 1):
        whole = TDF_Label()
        tool.GetReferredShape_s(parts.Value(i), whole)
        children.append(tree(tool, whole))
    return name_of(label), children, tool.GetShape_s(label)


@functools.lru_cache(maxsize=1)
def read(path):
    document = TDocStd_Document(TCollection_ExtendedString("XmlXCAF"))
    reader = STEPCAFControl_Reader()
    reader.SetNameMode(True)
    assert reader.ReadFile(str(path)) == IFSelect_ReturnStatus.IFSelect_RetDone, path
    assert reader.Transfer(document), path
    tool = XCAFDoc_DocumentTool.ShapeTool_s(document.Main())
    free = Sequence_TDF_Label()
    tool.GetFreeShapes(free)
    assert free.Length() == 1, f"{path}: {free.Length()} products stand alone"
    return tree(tool, free.Value(1))


def faces(shape):
    kinds, explorer = [], TopExp_Explorer(shape, TopAbs_ShapeEnum.TopAbs_FACE)
    while explorer.More():
        kinds.append(BRepAdaptor_Surface(TopoDS.Face(explorer.Current())).GetType())
        explorer.Next()
    return kinds


def check_piece(where, shape, parts, od, wall, hollow):
    assert BRepCheck_Analyzer(shape).IsValid(), f"{where} is no valid solid"
    explorer, solids = TopExp_Explorer(shape, TopAbs_ShapeEnum.TopAbs_SOLID), 0
    while explorer.More():
        solids += 1
        explorer.Next()
    assert solids == 1, f"{where}: {solids} solids"
    arcs = merged_arcs(parts)
    straights = sum(p[0] == "straight" for p in parts)
    sides = 2 if hollow else 1
    kinds = faces(shape)
    wanted = {Kind.GeomAbs_Cylinder: straights * sides, Kind.GeomAbs_Torus: arcs * sides, Kind.GeomAbs_Plane: 2}
    for kind in set(kinds) | set(wanted):
        assert kinds.count(kind) == wanted.get(kind, 0), f"{where}: {kinds.count(kind)} faces of {kind}, not {wanted.get(kind, 0)}"
    ring = math.pi / 4 * (od**2 - ((od - 2 * wall) ** 2 if hollow else 0.0))
    volume = GProp_GProps()
    BRepGProp.VolumeProperties_s(shape, volume, 1e-10)
    wanted = ring * closed_form.length(parts)
    assert abs(volume.Mass() / wanted - 1) < 1e-6, f"{where}: volume {volume.Mass()}, not {wanted}"
    found = Bnd_Box()
    BRepBndLib.AddOptimal_s(shape, found, False, False)
    low_corner, high_corner = found.CornerMin(), found.CornerMax()
    found = [f() for c in (low_corner, high_corner) for f in (c.X, c.Y, c.Z)]
    low, high = closed_form.box(parts, od / 2)
    size = max(high - low)
    off = max(max(abs(a - b) for a, b in zip(found[:3], low)), max(abs(a - b) for a, b in zip(found[3:], high)))
    assert off < 1e-6 * size, f"{where}: box {found}, not {low} {high}: {off / size}"
    return abs(volume.Mass() / wanted - 1), off / size


def merged_arcs(parts):
    """Arcs, those of one circle that follow one another taken as one."""
    count, last = 0, None
    for p in parts:
        if p[0] == "arc":
            same = last is not None and abs(last[4] - p[4]) < 1e-6 and max(abs(last[1] - p[1])) < 1e-4
            count += not same
        last = p if p[0] == "arc" else None
    return count


def volume_of(shape):
    found = GProp_GProps()
    BRepGProp.VolumeProperties_s(shape, found, 1e-6)
    return found.Mass()


def check_groups(path, groups, job):
    """Flanges, parts on the tubes and collectors: every solid valid and alone in its product; plates as large as their drawings say."""
    for group, solids, _ in groups:
        assert group in ("flanges", "parts") or group.startswith("collector "), f"{path}: a group is called {group!r}"
        for name, _, shape in solids:
            assert BRepCheck_Analyzer(shape).IsValid(), f"{path}: {name} is no valid solid"
            explorer, count = TopExp_Explorer(shape, TopAbs_ShapeEnum.TopAbs_SOLID), 0
            while explorer.More():
                count, _ = count + 1, explorer.Next()
            volume = volume_of(shape)
            assert count == 1 and volume > 1.0, f"{path}: {name}: {count} solids, {volume} mm3"
            wanted = job.get("plates", {}).get(name)
            assert wanted is None or abs(volume / wanted - 1) < 1e-4, f"{path}: {name}: {volume} mm3, its drawing {wanted}"


def solids(path, of=None):
    """Every solid of a file by its name, of one group or all."""
    return {name: shape for group, parts, _ in read(path)[1] if of is None or group == of for name, _, shape in parts}


def check(path, job, hollow=True):
    """Everything of a file against the job's routes and cut plan; the largest differences found."""
    top, products, _ = read(path)
    assert top == job["name"], f"{path}: the assembly is called {top!r}, not {job['name']!r}"
    runs, groups = products[: len(job["runs"])], products[len(job["runs"]) :]
    check_groups(path, groups, job)
    assert [r[0] for r in runs] == [r["name"] for r in job["runs"]], [r[0] for r in runs]
    worst = [0.0, 0.0]
    for (name, children, _), run in zip(runs, job["runs"]):
        assert [c[0] for c in children] == [p["mark"] for p in run["pieces"]], f"{path}: {name}: {[c[0] for c in children]}"
        parts = closed_form.legs(run["points"], run["radii"])
        for (mark, _, shape), piece in zip(children, run["pieces"]):
            stretch = closed_form.stretch(parts, piece["from"], piece["to"])
            off = check_piece(f"{path}: {mark}", shape, stretch, run["od"], run["wall"], hollow)
            worst = [max(a, b) for a, b in zip(worst, off)]
    return worst
