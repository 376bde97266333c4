"""STL and 3MF read by trimesh and manifold3d; GLB by the Khronos validator and trimesh."""

import json
import math
import subprocess
from pathlib import Path

import manifold3d
import numpy as np
import trimesh

import closed_form

VALIDATE = """
const validator = require('gltf-validator'), fs = require('fs');
validator.validateBytes(new Uint8Array(fs.readFileSync(process.argv[1]))).then(r => console.log(JSON.stringify(r.issues)));
"""


def watertight(where, mesh):
    mesh.merge_vertices()
    assert mesh.is_watertight and mesh.is_winding_consistent, f"{where} is not watertight"
    data = manifold3d.Mesh(np.asarray(mesh.vertices, np.float32), np.asarray(mesh.faces, np.uint32))
    solid = manifold3d.Manifold(data)
    assert solid.status() == manifold3d.Error.NoError, f"{where}: {solid.status()}"
    return solid


def faceted(parts, od, wall, hollow):
    """The true volume; facets within 0.02 mm of the surface may differ by the share that their chords cut off."""
    ring = math.pi / 4 * (od**2 - ((od - 2 * wall) ** 2 if hollow else 0.0))
    return ring * closed_form.length(parts)


def check_stl(path, job, hollow=True, share=2e-3):
    mesh = trimesh.load(path)
    solid = watertight(path, mesh)
    wanted = sum(faceted(legs(r), r["od"], r["wall"], hollow) for r in job["runs"])
    assert abs(mesh.volume / wanted - 1) < share, f"{path}: volume {mesh.volume}, not {wanted}"
    # The kernel's own volume, pieces that meet counted once.
    assert solid.volume() < mesh.volume * (1 + 1e-4), path
    return abs(mesh.volume / wanted - 1)


def check_3mf(path, job, hollow=True, share=2e-3):
    scene = trimesh.load(path)
    names = {r["name"]: r for r in job["runs"]}
    assert len(scene.geometry) == len(names), f"{path}: {list(scene.geometry)}"
    for name, mesh in scene.geometry.items():
        assert name in names, f"{path}: an object is called {name!r}"
        solid = watertight(f"{path}: {name}", mesh)
        run = names[name]
        wanted = faceted(legs(run), run["od"], run["wall"], hollow)
        assert abs(solid.volume() / wanted - 1) < share, f"{path}: {name}: {solid.volume()}, not {wanted}"


def single(where, solid, mesh):
    """Nowhere twice in the same place: what the triangles enclose at a height, counted as often as they enclose it, is what
    the kernel's slice covers once."""
    low, high = mesh.bounds[:, 2]
    reach = [pick(mesh.triangles[:, :, 2], axis=1) for pick in (np.min, np.max)]
    for height in np.linspace(low, high, 32)[1:-1] + 1.2345e-4:
        enclosed = enclosed_area(mesh, (reach[0] < height) & (reach[1] > height), height)
        covered = solid.slice(float(height)).area()
        assert abs(enclosed - covered) < 1e-4 * covered + 1e-2, f"{where} runs through itself at {height}: {enclosed} {covered}"


def enclosed_area(mesh, crossing, height):
    """Area at a height by its winding: every triangle that crosses adds its oriented stretch of the edge (Green's theorem)."""
    corners, normals = mesh.triangles[crossing], mesh.face_normals[crossing]
    up = corners[:, :, 2] - height
    ends = []
    for a, b in ((0, 1), (1, 2), (2, 0)):
        cross = up[:, a] * up[:, b] < 0
        share = np.where(cross, up[:, a] / np.where(cross, up[:, a] - up[:, b], 1.0), np.nan)
        ends.append(corners[:, a, :2] + share[:, None] * (corners[:, b, :2] - corners[:, a, :2]))
    ends = np.stack(ends, axis=1)
    found = ends[~np.isnan(ends[:, :, 0])].reshape(-1, 2, 2)
    # With the outside on the right hand the inside lies on the left.
    way = np.stack([-normals[:, 1], normals[:, 0]], axis=1)
    turned = np.einsum("ij,ij->i", found[:, 1] - found[:, 0], way) < 0
    found[turned] = found[turned][:, ::-1]
    p, q = found[:, 0], found[:, 1]
    return float(np.sum(p[:, 0] * q[:, 1] - p[:, 1] * q[:, 0])) / 2


def check_trial(folder, bed):
    """Trial pieces: each one body, on the bed, within it; a key for each joint."""
    files = sorted(Path(folder).glob("*.stl"))
    assert files, folder
    for path in files:
        mesh = trimesh.load(path)
        solid = watertight(path, mesh)
        assert len(solid.decompose()) == 1, f"{path} is in {len(solid.decompose())} bodies"
        assert abs(solid.volume() / mesh.volume - 1) < 1e-5, path
        single(path, solid, mesh)
        low, high = mesh.bounds
        assert min(low) > -1e-3 and all(high <= np.array(bed) + 1e-3), f"{path}: {high}"
    return len(files)


def legs(run):
    """The run's tube from its first piece on: before it there is flange."""
    parts = closed_form.legs(run["points"], run["radii"])
    begin = min((p["from"] for p in run["pieces"]), default=0.0)
    return closed_form.stretch(parts, begin, closed_form.length(parts)) if begin > 0.0 else parts


def check_groups(scene, others, solids):
    """Flanges and collectors in the GLB: the same names as in the STEP file, watertight, and as large."""
    assert sorted(others) == sorted(solids), f"{sorted(others)}, in the STEP file {sorted(solids)}"
    for name in others:
        mesh = scene.geometry[name].copy()
        mesh.merge_vertices(merge_norm=True, merge_tex=True)
        assert mesh.is_watertight, f"{name} is not watertight"
        # The scene is in metres.
        volume, wanted = mesh.volume * 1e9, solids[name]
        assert abs(volume / wanted - 1) < 5e-3, f"{name}: {volume} mm3, in the STEP file {wanted}"


def check_glb(path, job, modules, solids):
    out = subprocess.run(["node", "-e", VALIDATE, str(Path(path).resolve())], capture_output=True, text=True, cwd=modules, check=True)
    issues = json.loads(out.stdout)
    assert issues["numErrors"] == 0 and issues["numWarnings"] == 0, f"{path}: {issues}"
    scene = trimesh.load(path)
    marks = [p["mark"] for r in job["runs"] for p in r["pieces"]]
    assert set(marks) <= set(scene.geometry), f"{path}: {list(scene.geometry)}"
    check_groups(scene, [n for n in scene.geometry if n not in marks], solids)
    low = np.min([closed_form.box(legs(r), r["od"] / 2)[0] for r in job["runs"]], axis=0)
    high = np.max([closed_form.box(legs(r), r["od"] / 2)[1] for r in job["runs"]], axis=0)
    # Metres, y up: x stays, z becomes y, y becomes -z.
    size = (high - low)[[0, 2, 1]] / 1000
    tubes = trimesh.util.concatenate([m for n, m in scene.geometry.items() if n in marks])
    # The root's turn of a quarter is not in the geometry itself.
    extents = tubes.extents[[0, 2, 1]]
    assert np.allclose(extents, size, atol=1e-4), f"{path}: {extents}, not {size}"
