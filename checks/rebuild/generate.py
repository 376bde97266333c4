"""Jobs with runs nobody drew: a job.toml and a routes.toml for each kind and seed, the same every time."""

import math
import random

import numpy as np

# OD, wall, CLRs of the stock, legs, kerf, where it counts, cylinders, whether the tubes go on through secondaries to a tail.
KINDS = {
    "bank": ((44.45, 1.65), (66.675, 88.9), 101.6, 1.6, "inside", (2, 4, 6, 8), False),
    "four-two-one": ((41.3, 1.5), (57.15, 76.2), 90.0, 2.0, "inside", (1, 2, 3, 4), True),
    "schedule-10": ((48.26, 2.77), (76.2,), 60.0, 1.9, "centreline", (1, 2), False),
    "elbows": ((60.33, 3.91), (76.2,), 0.0, 2.4, "inside", (1, 2, 3), False),
}


def turned(vector, about, angle):
    return vector * math.cos(angle) + np.cross(about, vector) * math.sin(angle) + about * (about @ vector) * (1 - math.cos(angle))


def run_points(rng, at, axis, clrs, od):
    """Intersection points and radii of a run that leaves `at` along `axis`."""
    count = rng.randint(2, 4)
    flow = axis / np.linalg.norm(axis)
    across = np.cross(flow, [0.3, 0.5, 0.8])
    across /= np.linalg.norm(across)
    points, radii, here, before = [at], [], at, 0.0
    for _ in range(count):
        clr, angle = rng.choice(clrs), math.radians(rng.choice([rng.uniform(9, 40), rng.uniform(40, 130)]))
        setback = clr * math.tan(angle / 2)
        straight = rng.choice([rng.uniform(0.2, 1.2) * od + 20, rng.uniform(60, 260)])
        here = here + flow * (before + straight + setback)
        points.append(here)
        radii.append(clr)
        across = turned(across, flow, rng.uniform(-math.pi, math.pi))
        flow, across = turned(flow, across, angle), across
        across = across - flow * (across @ flow)
        across /= np.linalg.norm(across)
        before = setback
    here = here + flow * (before + rng.uniform(40, 160))
    points.append(here)
    return points, radii


def triple(p):
    return "[" + ", ".join(f"{c:.7f}" for c in p) + "]"


def write(kind, seed, folder):
    (od, wall), clrs, leg, kerf, kerf_at, cylinders, goes_on = KINDS[kind]
    rng = random.Random(f"{kind} {seed}")
    job = [f'format = 1\nname = "{kind} {seed}"\nunits = "mm"\n']
    job.append(f"[engine]\nlayout = \"inline\"\ncylinders = {max(cylinders)}\n[tube]\nod = {od}\nwall = {wall}\nmaterial = \"304L\"\n")
    job.append("[length]\n[clearance]\ntubes = 3.0\nkeepouts = 5.0\n")
    routes = ['format = 1\nunits = "mm"\n']
    ends = []
    for k, cylinder in enumerate(cylinders):
        at = np.array([-110.0 * k, rng.uniform(-3, 3), 0.0])
        axis = np.array([rng.uniform(-0.2, 0.2), 1.0, rng.uniform(-0.4, 0.1)])
        axis /= np.linalg.norm(axis)
        job.append(f"[[port]]\ncylinder = {cylinder}\nat = {triple(at)}\naxis = {triple(axis)}\nstub = 5.0\n")
        points, radii = run_points(rng, at, axis, clrs, od)
        into = ("left", "right")[k // 2] if goes_on else "merge"
        ends.append(("primary", f"cylinder = {cylinder}", into, k % 2 + 1 if goes_on else k + 1, points, radii))
    if goes_on:
        job.append(collector("left", [-400, 300, -200], 2, cylinders[:2], "last"))
        job.append(collector("right", [-400, 420, -200], 2, cylinders[2:], "last"))
        job.append(collector("last", [-900, 360, -250], 2, None, None))
        job.append('[[tail]]\nfrom = "last"\nto = { at = [-1500.0, 360.0, -250.0], axis = [-1.0, 0.0, 0.0] }\n')
        for inlet, (name, y) in enumerate((("left", 300.0), ("right", 420.0)), 1):
            points, radii = run_points(rng, np.array([-400.0, y, -200.0]), np.array([-1.0, 0.0, 0.0]), clrs, od)
            ends.append(("secondary", f'from = "{name}"\nto = "last"\ninlet = {inlet}\n', None, None, points, radii))
        points, radii = run_points(rng, np.array([-900.0, 360.0, -250.0]), np.array([-1.0, 0.0, 0.0]), clrs, od)
        ends.append(("tail", 'from = "last"', None, None, points, radii))
    else:
        job.append(collector("merge", [-500, 300, -200], len(cylinders), cylinders, None))
    for table, of, into, inlet, points, radii in ends:
        routes.append(f"[[{table}]]\n{of}\n" + (f'collector = "{into}"\ninlet = {inlet}\n' if into else ""))
        routes.append("points = [" + ", ".join(triple(p) for p in points) + f"]\nradii = {radii}\n")
    for clr in clrs:
        for angle in (180.0, 90.0):
            job.append(f"[[stock.bend]]\nclr = {clr}\nangle = {angle}\nlegs = [{leg}, {leg}]\nprice = {angle / 15 + clr / 20:.2f}\n")
    job.append("[[stock.straight]]\nlength = 1500.0\nprice = 20.0\n")
    job.append(f'[saw]\nkerf = {kerf}\nkerf_at = "{kerf_at}"\nmin_straight = 12.0\nmin_arc = 5.0\n[cost]\njoint = 14.0\ncut = 2.5\n')
    folder.mkdir(parents=True)
    (folder / "job.toml").write_text("\n".join(job))
    (folder / "routes.toml").write_text("\n".join(routes))


def collector(name, at, inlets, cylinders, feeds):
    text = f'[[collector]]\nname = "{name}"\nat = {[float(c) for c in at]}\naxis = [-1.0, 0.0, 0.0]\nup = [0.0, 0.0, 1.0]\ninlets = {inlets}\ngap = 2.0\n'
    text += f"cylinders = {list(cylinders)}\n" if cylinders else ""
    return text + (f'feeds = "{feeds}"\n' if feeds else "")
