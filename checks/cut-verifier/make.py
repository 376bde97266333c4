#!/usr/bin/env python3
"""Has the program cut every folder of given/ and a set of generated ones, and checks each plan with verify.py; and that
verify.py refuses each plan once something in it is made wrong.

    python3 make.py            # writes expected.csv; stops at the first plan that breaks a rule
"""
import json
import math
import os
import pathlib
import random
import subprocess
import sys
import tempfile

from verify import verify

HERE = pathlib.Path(__file__).resolve().parent
# Steps of the search: the rules are checked here, not how near the plans are to the optimum.
STEPS = "300000"
GENERATED = 14


def root():
    return next(p for p in HERE.parents if (p / "Cargo.lock").is_file())


def program():
    # As optimised as the tests and built with them: `cargo x test` names it.
    if named := os.environ.get("TUBEWRIGHT_PROGRAM"):
        return pathlib.Path(named)
    subprocess.run(["cargo", "test", "--no-run", "--quiet", "--workspace"], cwd=root(), check=True)
    return root() / "target" / "debug" / "tubewright"


def generate(folder, seed):
    """An invented job with only what `cut` needs."""
    r = random.Random(seed)
    inch = seed % 3 == 1
    steps = seed % 2 == 0
    clrs = [[76.2], [63.5, 76.2], [50.8, 76.2, 101.6]][seed % 3]
    unit = 25.4 if inch else 1.0
    legs = [0, 25.4, 50.8, 101.6, 152.4][seed % 5]
    of = lambda mm: round(mm / unit, 4)
    job = ["format = 1", f'units = "{"in" if inch else "mm"}"', "", "[tube]"]
    job += ['size = "1 3/4 in x 16 ga"' if inch else "od = 44.45\nwall = 1.65", 'material = "304"', ""]
    for clr in clrs:
        for angle, price in ((180, 26), (90, 17)):
            job += ["[[stock.bend]]", f"clr = {of(clr)}", f"angle = {angle}", f"legs = [{of(legs)}, {of(legs / 2)}]", f"price = {price}"]
        if seed % 2:
            job += ["[[stock.remnant]]", f"clr = {of(clr)}", f"angle = {r.randint(40, 140)}", f"legs = [{of(r.randint(0, 60))}, 0]"]
    job += ["[[stock.straight]]", f"length = {of(1016.0)}", "price = 15.5"]
    job += ["[[stock.remnant]]", f"length = {of(r.randint(150, 500))}", "price = 0.5", "count = 2"]
    job += ["[saw]", 'kerf = "1/16 in"' if inch else "kerf = 1.6", f'kerf_at = "{r.choice(["inside", "centreline"])}"']
    job += [f"min_straight = {of(12.7)}", "min_arc = 5", "[cost]", "joint = 12.5", "cut = 2"]
    job += [f'cut_per = "{"saw" if seed % 4 == 3 else "piece"}"']
    routes = ["format = 1"]
    for cylinder in range(1, r.randint(1, 4) + 1):
        rows, arcs = [], r.randint(1, 4)
        for k in range(arcs):
            straight = 0.0 if k and r.random() < 0.25 else r.randint(20, 240)
            rows.append((straight, 0.0 if k == 0 or r.random() < 0.3 else r.randint(-179, 179), r.randint(10, 120), r.choice(clrs)))
        last = r.randint(20, 200)
        routes += ["[[primary]]", f"cylinder = {cylinder}"]
        if steps:
            text = [f"[{of(l)}, {rot}, {a}, {of(c)}]" for l, rot, a, c in rows] + [f"[{of(last)}]"]
            routes.append(f"steps = [{', '.join(text)}]")
        else:
            points, radii = points_of(rows, last)
            routes.append(f"points = {json.dumps([[round(x / unit, 6) for x in p] for p in points])}")
            routes.append(f"radii = {json.dumps([of(c) for c in radii])}")
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "job.toml").write_text("\n".join(job) + "\n")
    (folder / "routes.toml").write_text("\n".join(routes) + "\n")


def points_of(rows, last):
    """Intersection points of rows of straight, rotation, angle and CLR, from the origin along x."""
    at, way, up = [0.0, 0.0, 0.0], [1.0, 0.0, 0.0], [0.0, 0.0, 1.0]
    points, radii, setback = [at], [], 0.0
    go = lambda p, w, l: [x + y * l for x, y in zip(p, w)]
    for length, rotation, angle, clr in rows:
        side = [way[1] * up[2] - way[2] * up[1], way[2] * up[0] - way[0] * up[2], way[0] * up[1] - way[1] * up[0]]
        c, s = math.cos(math.radians(rotation)), math.sin(math.radians(rotation))
        up = [u * c - v * s for u, v in zip(up, side)]
        tangent = clr * math.tan(math.radians(angle) / 2)
        at = go(at, way, setback + length + tangent)
        points.append(at)
        radii.append(clr)
        c, s = math.cos(math.radians(angle)), math.sin(math.radians(angle))
        way, up = [w * c + u * s for w, u in zip(way, up)], [u * c - w * s for w, u in zip(way, up)]
        setback = tangent
    points.append(go(at, way, setback + last))
    return points, radii


def spoil(plan):
    """The plan with one thing made wrong, in several ways."""
    last = len(plan["pieces"]) - 1
    for spoiled in (
        lambda p: p["pieces"][last]["at"].__setitem__(1, p["pieces"][last]["at"][1] - 0.1),
        lambda p: p["pieces"][0].__setitem__("to", p["pieces"][0]["to"] + 0.5),
        lambda p: p["pieces"].pop(last // 2),
        lambda p: p["pieces"][0].__setitem__("item", p["pieces"][last]["item"] if last else "none"),
        lambda p: p.__setitem__("cost", p["cost"] - 0.5),
        lambda p: p.__setitem__("cuts", p["cuts"] + 1),
        lambda p: p.__setitem__("proven", not p["proven"]),
        lambda p: p["items"].append(dict(p["items"][0], id="more")),
        lambda p: p["offcuts"].append({"item": p["pieces"][0]["item"], "at": p["pieces"][0]["at"]}),
    ):
        wrong = json.loads(json.dumps(plan))
        spoiled(wrong)
        if wrong != plan:
            yield wrong


def refused(folder, plan):
    try:
        return bool(verify(folder, plan)[0])
    except KeyError:
        return True


def cut(run, folder):
    command = [str(run), "cut", str(folder), "--json", "--steps", STEPS]
    done = subprocess.run(command, capture_output=True, text=True)
    if done.returncode:
        sys.exit(f"{folder.name}: exit code {done.returncode}\n{done.stderr}")
    plan = json.loads(done.stdout)
    faults, (cost, joints, cuts) = verify(folder, plan)
    if faults:
        sys.exit(f"{folder.name}:\n" + "\n".join(faults))
    for k, wrong in enumerate(spoil(plan)):
        if not refused(folder, wrong):
            sys.exit(f"{folder.name}: a wrong plan ({k}) was not refused")
    print(f"{folder.name:20} cost {cost:8.2f} {joints:3} joints {cuts:3} saw cuts", flush=True)


def main():
    run = program()
    rows = []
    with tempfile.TemporaryDirectory() as work:
        for seed in range(1, GENERATED + 1):
            generate(pathlib.Path(work) / f"generated-{seed:02}", seed)
        folders = [*(HERE / "given").iterdir(), *pathlib.Path(work).iterdir()]
        for folder in sorted(folders, key=lambda f: f.name):
            cut(run, folder)
            rows.append(f"{folder.name},holds")
    (HERE / "expected.csv").write_text("folder,rules\n" + "\n".join(rows) + "\n")


if __name__ == "__main__":
    main()
