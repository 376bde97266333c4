"""Exports every example and some nasty jobs, and opens what was written with programs that are not ours.

    python check.py PROGRAM EXAMPLES FOLDER MODULES

PROGRAM is tubewright, EXAMPLES the folder of examples, FOLDER one to work in, MODULES one with node_modules/gltf-validator.
"""

import json
import shutil
import subprocess
import sys
from pathlib import Path

try:
    import tomllib
except ModuleNotFoundError:  # Python 3.10
    import pip._vendor.tomli as tomllib

sys.path.insert(0, str(Path(__file__).parent.parent))

import nasty
import read_meshes
import read_sheets
import read_step
import ready

PROGRAM, EXAMPLES, FOLDER, MODULES = sys.argv[1:5]
BED = (140.0, 130.0, 120.0)


def tubewright(*words, code=0):
    done = subprocess.run([PROGRAM, *map(str, words)], capture_output=True, text=True)
    assert done.returncode == code, f"tubewright {words}: exit {done.returncode}\n{done.stderr}"
    return done.stdout


def facts(folder):
    """What the job's own files say: name, unit, runs with their points and pieces."""
    job = tomllib.loads((folder / "job.toml").read_text(encoding="utf-8"))
    routes = tomllib.loads((folder / "routes.toml").read_text(encoding="utf-8"))
    plan = json.loads((folder / "cutplan.json").read_text(encoding="utf-8"))
    scale = 25.4 if routes.get("units", job.get("units", "mm")) == "in" else 1.0
    runs = []
    for kind, key in (("primary", "cylinder"), ("secondary", "from"), ("tail", "from")):
        for route in routes.get(kind, []):
            name = f"{kind} {route[key]}"
            pieces = [p for p in plan["pieces"] if p["run"] == name]
            od, wall = nasty.tube(job, kind)
            points = [[v * scale for v in p] for p in route["points"]]
            radii = [r * scale for r in route["radii"]]
            runs.append({"name": name, "points": points, "radii": radii, "od": od, "wall": wall, "pieces": pieces})
    return {"name": job.get("name", folder.name), "units": job.get("units", "mm"), "runs": runs}


def check(folder, exactly=None):
    out = folder / "exports"
    listed = json.loads(tubewright("export", folder, "--format", "all", "-o", out, "--json"))
    files = [Path(f) for f in listed["files"]]
    assert all(f.is_file() for f in files)
    job = facts(folder)
    found = {f.suffix: f for f in files}
    step = out / f"{found['.glb'].stem}.step"
    job["plates"] = read_sheets.plates(out / "dxf", folder)
    worst = read_step.check(step, job)
    read_meshes.check_stl(out / f"{step.stem}.stl", job)
    read_meshes.check_3mf(found[".3mf"], job)
    marks = {p["mark"] for r in job["runs"] for p in r["pieces"]}
    others = {n: read_step.volume_of(s) for n, s in read_step.solids(step).items() if n not in marks}
    read_meshes.check_glb(found[".glb"], job, MODULES, others)
    for dxf in [f for f in files if f.suffix == ".dxf" and f.parent.parent == out]:
        cut = read_sheets.check_dxf(dxf, job["units"])
        svg = read_sheets.check_svg(out / "svg" / (dxf.stem + ".svg"))
        assert abs(cut - svg) < 1e-3 * cut + 0.01, f"{dxf}: {cut} mm are cut, in the SVG {svg}"
    base = step.stem
    read_sheets.check_bending(out / f"{base}-xyz.csv", out / f"{base}-lra.csv", job)
    read_sheets.check_tables(out, base, job)
    solid = folder / "solid"
    tubewright("export", folder, "-f", "step,stl,3mf", "--solid", "-o", solid)
    read_step.check(solid / f"{base}.step", job, hollow=False)
    read_meshes.check_stl(solid / f"{base}.stl", job, hollow=False)
    mark = job["runs"][0]["pieces"][0]["mark"]
    tubewright("export", folder, "-f", "all", "--of", mark, "-o", folder / "piece")
    one = {**job, "runs": [{**job["runs"][0], "pieces": job["runs"][0]["pieces"][:1]}]}
    read_step.check(folder / "piece" / f"{base}-{mark}.step", one)
    tubewright("export", folder, "-f", "stl", "--trial", "--bed", "x".join(map(str, BED)), "-o", folder / "prints")
    count = read_meshes.check_trial(folder / "prints" / "trial", BED)
    print(f"{job['name']}: {len(files)} files, volume within {worst[0]:.0e}, box within {worst[1]:.0e}, {count} trial pieces", flush=True)


def main():
    work = Path(FOLDER)
    shutil.rmtree(work, ignore_errors=True)
    for example in sorted(Path(EXAMPLES).iterdir()):
        folder = work / example.name
        ready.example(PROGRAM, example, folder)
        check(folder)
    for folder in nasty.write(work):
        tubewright("cut", folder)
        check(folder)
    print("all exports were opened", flush=True)


main()
