"""Follows the sheets to the letter: every run is cut and joined from the text of the PDF alone, and must end where its route ends.

    python check.py PROGRAM EXAMPLES FOLDER

Prints what is wrong and ends with 1, or ends with 0. FOLDER is replaced.
"""

import math
import os
import re
import shutil
import subprocess
import sys
import tomllib
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parent.parent))

import follow  # noqa: E402
import generate  # noqa: E402
import ready  # noqa: E402

# The end of a run, mm and degrees; what a joint may be off on the way, mm.
END, TURN, JOINT = 0.5, 0.1, 0.6

faults = []
worst = {}


def run(*words):
    return subprocess.run([str(w) for w in words], capture_output=True, text=True, check=False)


def route_ends(folder):
    """Where each run ends by its routes.toml, seen from its start: out, left, up, and the direction there."""
    routes = tomllib.loads((folder / "routes.toml").read_text())
    scale = 25.4 if routes["units"] == "in" else 1.0
    ends = {}
    for kind in ("primary", "secondary", "tail"):
        for entry in routes.get(kind, []):
            points = np.array(entry["points"]) * scale
            out = unit(points[1] - points[0])
            # Up is vehicle z made square to the flow, on a vertical tube vehicle x.
            up = np.array([0.0, 0.0, 1.0])
            if np.linalg.norm(np.cross(up, out)) < 1e-6:
                up = np.array([1.0, 0.0, 0.0])
            up = unit(up - out * (up @ out))
            frame = np.array([out, np.cross(up, out), up])
            name = f"{kind} {entry['cylinder'] if kind == 'primary' else entry['from']}"
            ends[name] = (frame @ (points[-1] - points[0]), frame @ unit(points[-1] - points[-2]))
    return ends


def unit(v):
    return v / np.linalg.norm(v)


def read_sheets(pdf, inch):
    saw, assembly = follow.sheets(follow.pages_of(pdf))
    items = {name: follow.read_item(name, text, inch) for name, text in saw.items()}
    runs = [found for found in (follow.read_run(text, inch) for text in assembly.values()) if found]
    for found in runs:
        for mark, *_, total in found.pieces:
            for item in items.values():
                if mark in item.against:
                    item.table[mark] = total
    return items, runs


def built(item, inch, tool, angles):
    """Each piece's faces upstream and downstream, and whether it has an arc."""
    out = {}
    for mark, (first, last) in follow.saw(item, inch, tool).items():
        if item.against[mark]:
            back = lambda f: (f[0], f[1], -f[2])
            first, last = back(last), back(first)
        out[mark] = (first, last, angles[mark] > 0)
    return out


def from_tables(run):
    """Each piece by its row of the assembly sheet: leg, angle, leg."""
    out = {}
    for mark, leg_in, angle, clr, leg_out, total in run.pieces:
        c, s = math.cos(angle), math.sin(angle)
        start = (np.zeros(2), np.array([0.0, -1.0]), np.array([1.0, 0.0]))
        # A straight piece has its whole length as its first leg.
        end = np.array([leg_in + clr * s + leg_out * c, clr * (1 - c) + leg_out * s])
        out[mark] = (start, (end, np.array([s, -c]), np.array([c, s])), angle > 0)
    return out


def hold(truth, message):
    if not truth:
        faults.append(message)


def check_pdf(name, pdf, ends, inch):
    items, runs = read_sheets(pdf, inch)
    hold(len(runs) == len(ends), f"{name}: {len(runs)} assembly sheets for {len(ends)} runs")
    angles = {mark: angle for r in runs for mark, _, angle, *_ in r.pieces}
    tools = ["end", "tangent", "angle"] + (["tape"] if inch else [])
    for tool in tools + ["table"]:
        pieces = {}
        for item in items.values():
            if tool != "table":
                pieces |= built(item, inch, tool, angles)
        for each in runs:
            own = from_tables(each) if tool == "table" else pieces
            missing = [mark for mark, *_ in each.pieces if mark not in own]
            if missing:
                faults.append(f"{name} {each.name}: no saw sheet gives {missing}")
                continue
            found = follow.join(each, own)
            check_run(f"{name} by {tool}", each, found, ends[each.name], inch, tool)
    check_sums(name, items, runs, inch)
    check_names(name, runs)


def check_names(name, runs):
    """The pieces of a primary begin with its cylinder, those of other runs with numbers of their own."""
    numbers = {each.name: {re.match(r"\d+", mark).group() for mark, *_ in each.pieces} for each in runs}
    for run_name, found in numbers.items():
        kind, of = run_name.split(" ", 1)
        alone = sum(bool(found & other) for other in numbers.values()) == 1
        hold(len(found) == 1 and alone, f"{name}: the pieces of {run_name} begin with {sorted(found)}")
        hold(kind != "primary" or found == {of}, f"{name}: the pieces of {run_name} are called {sorted(found)}")


def check_run(name, each, found, end, inch, tool):
    at, flow = found[-1]
    off, turn = np.linalg.norm(at - end[0]), math.degrees(math.acos(min(1.0, flow @ end[1])))
    key = ("in" if inch else "mm", tool)
    worst[key] = tuple(max(a, b) for a, b in zip(worst.get(key, (0, 0)), (off, turn)))
    hold(off <= END and turn <= TURN, f"{name}: {each.name} ends {off:.2f} mm and {turn:.3f} degrees off")
    for (place, _), (_, triple) in zip(found, each.joints):
        away = np.linalg.norm(place - np.array(triple))
        hold(away <= JOINT, f"{name}: a joint of {each.name} lies {away:.2f} mm from where its sheet says")


def check_sums(name, items, runs, inch):
    """What is printed adds up: pieces to the run, places on a stick to its pieces and blades."""
    step = 0.0254 if inch else 0.1
    for each in runs:
        along = each.joints[0][0]
        for (mark, *_, total), (station, _) in zip(each.pieces, each.joints):
            hold(abs(along - station) < 0.01 * step, f"{name}: {mark} begins at {station:.3f}, the pieces before it add up to {along:.3f}")
            along += total
        hold(abs(along - each.length) < 0.01 * step, f"{name}: {each.name} is {each.length:.3f} long, its pieces {along:.3f}")
    for item in items.values():
        if item.bent or not item.cuts:
            continue
        at = 0.0
        for line in sorted(item.lines, key=lambda line: follow.length(line.figures[0], inch)):
            if line.to != "saw":
                continue
            place = follow.length(line.figures[0], inch)
            wanted = at + item.table[line.mark]
            # A blade whose width is between two steps is counted as the nearer.
            hold(abs(place - wanted) <= 0.51 * step, f"{name}: {line.mark} ends at {place:.3f} on {item.name}, not {wanted:.3f}")
            at = place + item.blade


def check_job(name, folder):
    """Prints saw and assembly sheets of a job with its routes, in both units, and follows them."""
    ends = route_ends(folder)
    for units in ("mm", "in"):
        out = folder / f"sheets-{units}"
        printed = run(PROGRAM, "sheets", folder, "-o", out, "--only", "saw,assembly", "--units", units)
        if printed.returncode != 0:
            faults.append(f"{name}: papers ended with {printed.returncode}: {printed.stderr[-400:]}")
            continue
        check_pdf(f"{name} ({units})", out / "papers.pdf", ends, units == "in")


def check_example(name):
    folder = WORK / name
    ready.example(PROGRAM, EXAMPLES / name, folder)
    # Planned anew the pieces are as drawn: none is left longer to be cut last.
    (folder / "cutplan.json").unlink()
    check_job(name, folder)


def check_generated(kind, seed):
    folder = WORK / f"{kind}-{seed}"
    generate.write(kind, seed, folder)
    check_job(f"{kind} {seed}", folder)


if __name__ == "__main__":
    PROGRAM, EXAMPLES, WORK = (Path(word) for word in sys.argv[1:4])
    shutil.rmtree(WORK, ignore_errors=True)
    WORK.mkdir(parents=True)
    examples = sorted(p.name for p in EXAMPLES.iterdir() if (p / "job.toml").is_file())
    tasks = [(check_example, (name,)) for name in examples]
    tasks += [(check_generated, (kind, seed)) for kind in generate.KINDS for seed in (1, 2, 3)]
    with ThreadPoolExecutor(max(1, (os.cpu_count() or 2) // 2)) as pool:
        list(pool.map(lambda task: task[0](*task[1]), tasks))
    for (units, tool), (off, turn) in sorted(worst.items()):
        print(f"{units} by {tool}: at most {off:.3f} mm and {turn:.3f} degrees off at the end of a run", file=sys.stderr)
    print("\n".join(faults))
    sys.exit(1 if faults else 0)
