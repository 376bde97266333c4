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
    wanted = sum(faceted(closed_form.legs(r["points"], r["radii"]), r["od"], r["wall"], hollow) for r in job["runs"])
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
        wanted = faceted(closed_form.legs(run["points"], run["radii"]), run["od"], run["wall"], hollow)
        assert abs(solid.volume() / wanted - 1) < share, f"{path}: {name}: {solid.volume()}, not {wanted}"


def check_trial(folder, bed):
    """Trial pieces: each one body, on the bed, within it; a key for each joint."""
    files = sorted(Path(folder).glob("*.stl"))
    assert files, folder
    for path in files:
        mesh = trimesh.load(path)
        solid = watertight(path, mesh)
        assert len(solid.decompose()) == 1, f"{path} is in {len(solid.decompose())} bodies"
        # A mesh that runs through itself counts some of its volume twice.
        assert abs(solid.volume() / mesh.volume - 1) < 1e-5, path
        overlap = manifold3d.Manifold.batch_boolean([solid, manifold3d.Manifold()], manifold3d.OpType.Add).volume()
        assert abs(overlap / mesh.volume - 1) < 1e-4, f"{path} runs through itself"
        low, high = mesh.bounds
        assert min(low) > -1e-3 and all(high <= np.array(bed) + 1e-3), f"{path}: {high}"
    return len(files)


def check_glb(path, job, modules):
    out = subprocess.run(["node", "-e", VALIDATE, str(Path(path).resolve())], capture_output=True, text=True, cwd=modules, check=True)
    issues = json.loads(out.stdout)
    assert issues["numErrors"] == 0 and issues["numWarnings"] == 0, f"{path}: {issues}"
    scene = trimesh.load(path)
    marks = [p["mark"] for r in job["runs"] for p in r["pieces"]]
    assert sorted(scene.geometry) == sorted(marks), f"{path}: {list(scene.geometry)}"
    low = np.min([closed_form.box(closed_form.legs(r["points"], r["radii"]), r["od"] / 2)[0] for r in job["runs"]], axis=0)
    high = np.max([closed_form.box(closed_form.legs(r["points"], r["radii"]), r["od"] / 2)[1] for r in job["runs"]], axis=0)
    # Metres, y up: x stays, z becomes y, y becomes -z.
    size = (high - low)[[0, 2, 1]] / 1000
    assert np.allclose(scene.extents, size, atol=1e-4), f"{path}: {scene.extents}, not {size}"
