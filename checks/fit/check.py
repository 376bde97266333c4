"""Builds made up by a chain of our own in Python, read, and given to the program.

    python check.py PROGRAM EXAMPLES FOLDER

Prints what is wrong and ends with 1, or ends with 0. FOLDER is replaced.
"""

import json
import shutil
import subprocess
import sys
import tomllib
from fractions import Fraction
from pathlib import Path

import numpy as np

from chain import DEG, Run, least, turn, unit, usual

JOBS = ["hill-climb-four", "jet-boat-bank", "straight-six", "twin-entry-turbo"]
KEPT = Path(__file__).parent.parent.parent / "cases" / "fit"
# Farthest that an end may lie off its inlet and count as met, mm.
MET = 0.3

faults = []
figures = {"slsqp": [], "end": [], "sd": [], "named": [0, 0]}


def hold(truth, message):
    if not truth:
        faults.append(message)


def fit(program, folder, text=None):
    if text is not None:
        (folder / "fit.toml").write_text(text)
    done = subprocess.run([program, "fit", str(folder), "--json"], capture_output=True, text=True, check=False)
    if done.returncode not in (0, 1):
        faults.append(f"{folder.name}: code {done.returncode}: {done.stderr[:500]}")
        return {}
    return {r["run"]: r for r in json.loads(done.stdout)["runs"]}


def welded(run, count):
    return "".join(f'[[piece]]\nmark = "{m}"\nstate = "welded"\n' for m in run.marks[:count])


def vector(v):
    return "[" + ", ".join(f"{x:.9f}" for x in v) + "]"


def read(run, ends, k, noise, rng):
    """Centre, direction and reference line at the end of piece k."""
    at, forward, up = ends[k][:3, 3], ends[k][:3, 0], ends[k][:3, 1]
    off = lambda sd, n: sd * noise * rng.standard_normal(n)  # noqa: E731
    text = f'[[measured]]\nafter = "{run.marks[k]}"\nat = {vector(at + off(0.5, 3))}\n'
    text += f"axis = {vector(unit(forward + off(0.3 * DEG, 3)))}\n"
    if any(run.clr[: k + 1]):
        text += f"line = {vector(unit(-up + off(0.3 * DEG, 3)))}\n"
    return text


def stock(folder):
    job = tomllib.loads((folder / "job.toml").read_text())
    scale = 25.4 if job.get("units") == "in" else 1.0

    def mm(v):
        """A number in the job's unit, or a text with one."""
        if isinstance(v, str):
            number, word = v.rsplit(" ", 1)
            return sum(float(Fraction(part)) for part in number.split()) * {"mm": 1.0, "in": 25.4}[word]
        return None if v is None else v * scale

    legs = {}
    for bend in job["stock"].get("bend", []):
        if mm(bend.get("clr")) and bend.get("legs"):
            clr = round(mm(bend["clr"]), 3)
            legs[clr] = max([legs.get(clr, 0.0)] + [mm(v) or 0.0 for v in bend["legs"]])
    saw = job["saw"]
    return legs, {"min_straight": mm(saw["min_straight"]), "min_arc": saw["min_arc"]}


def new_figures(run, answer, base):
    """The figures of the chain as the answer says, on the drawn ones."""
    f = base.copy()
    place = {m: k for k, m in enumerate(run.marks)}
    for p in answer["pieces"]:
        k = place[p["mark"]]
        f[k, 6] = p["leg_in_mm"]
        if run.clr[k]:
            f[k, 8], f[k, 9] = p["angle_deg"] * DEG, p["leg_out_mm"]
    for c in answer["clocking"]:
        k = place[c["to"]]
        if any(run.clr[:k]):
            # Turned from its match mark: the reference line there was read.
            f[k, 5] = run.drawn[k, 5] + c["from_mark_deg"] * DEG
        else:
            # The first bend is set from the flange, whatever the straight before it was rolled by.
            f[k, 5] = c["angle_deg"] * DEG - f[:k, 5].sum()
    return f


def moved_inlet(program, folder, run, rng, legs, saw):
    """The built part as drawn, the inlet found elsewhere: the least correction against SLSQP's."""
    count = run.bends()[-2]
    target = run.end + rng.normal(0.0, 4.0, 3)
    axis = unit(run.axis + rng.normal(0.0, 0.6 * DEG, 3))
    text = "format = 1\nunits = \"mm\"\n[measuring]\nplace = 0.0001\ndirection = 0.00001\nline = 0.0001\n" + welded(run, count)
    _, ends = run.frames(run.drawn)
    text += read(run, ends, count - 1, 0.0, rng) if count else ""
    text += f'[[measured]]\ninlet = "{run.inlet_name}"\nat = {vector(target)}\naxis = {vector(axis)}\n'
    answer = fit(program, folder, text).get(run.name)
    if not answer or not answer["met"]:
        return
    start = ends[count - 1] if count else run.start
    best = least(run, count, start, target, axis, legs, saw)
    if best is None:
        return
    f = new_figures(run, answer, run.drawn)
    change = f - run.drawn
    ours = sum((change[k, c] / s) ** 2 for k in range(count, len(f)) for c, s in [(5, 8 * DEG), (6, 20.0), (8, 5 * DEG), (9, 20.0)])
    ours += ((run.length(f) - run.length(run.drawn)) / 3.0) ** 2
    _, ends = run.frames(f)
    off = np.linalg.norm(ends[-1][:3, 3] - target)
    if answer["keeps_gaps"]:
        # More than the least change, for a clearance that SLSQP's answer would lose: it still goes in.
        hold(off < MET, f"{folder.name} {run.name}: the corrected end is {off:.4f} mm from the inlet")
        return
    figures["slsqp"].append(ours / best - 1.0)
    hold(ours < best * (1 + 1e-3) + 1e-6, f"{folder.name} {run.name}: objective {ours:.6f}, SLSQP has {best:.6f}")
    hold(off < 0.02, f"{folder.name} {run.name}: the corrected end is {off:.4f} mm from the inlet")


def built(program, folder, run, rng, wall, inch):
    """A build with random errors read well at its open end: behind the true part the corrected end meets the inlet."""
    count = run.bends()[-2]
    if count == 0:
        return
    f, start = run.errors(rng, usual(wall), count)
    _, ends = run.frames(f, start)
    scale = 25.4 if inch else 1.0
    noise = 0.1
    head = f'format = 1\nunits = "{"in" if inch else "mm"}"\n[measuring]\nplace = {0.05 / scale}\ndirection = 0.03\nline = 0.03\n'
    scaled = [e.copy() for e in ends]
    for e in scaled:
        e[:3, 3] /= scale
    text = head + welded(run, count) + read(run, scaled, count - 1, noise / scale if inch else noise, rng)
    text += f'[[measured]]\ninlet = "{run.inlet_name}"\nat = {vector(run.end / scale)}\naxis = {vector(run.axis)}\n'
    answer = fit(program, folder, text).get(run.name)
    if not answer or not answer["met"]:
        return
    truth = new_figures(run, answer, f)
    truth[count:, :5] = 0.0
    _, ends = run.frames(truth, start)
    off = np.linalg.norm(ends[-1][:3, 3] - run.end)
    figures["end"].append(off)
    # 0.03 degrees of noise over half a metre, and the place's own.
    hold(off < 2.0, f"{folder.name} {run.name}: behind the true build the end is {off:.2f} mm off")


def gross(program, folder, run, rng, wall):
    """One gross error, every joint read: it is among the first two named."""
    count = len(run.marks)
    for column, size, what in [(5, 6 * DEG, "clocking"), (8, 3 * DEG, "angle"), (6, 8.0, "length")]:
        fit_in = [k for k in range(count) if bool(run.clr[k]) == (what != "length")]
        if not fit_in:
            continue
        k = int(rng.choice(fit_in))
        f, start = run.errors(rng, usual(wall), count)
        f[k, column] += size
        _, ends = run.frames(f, start)
        text = "format = 1\nunits = \"mm\"\n" + welded(run, count)
        text += "".join(read(run, ends, j, 1.0, rng) for j in range(count) if np.linalg.norm(ends[j][:3, 3] - run.frames(run.drawn)[1][j][:3, 3]) < 49)
        answer = fit(program, folder, text).get(run.name)
        if not answer:
            continue
        where = run.joints[k] if what == "clocking" else run.marks[k]
        figures["named"][1] += 1
        hit = any(s["what"] == what and s["where"] == where for s in answer["suspect"][:2])
        figures["named"][0] += hit


def forecast(program, folder, run, answer, rng, wall):
    """Standard deviations at the inlet against 4000 builds."""
    shop = usual(wall)
    misses = []
    for _ in range(4000):
        f, start = run.errors(rng, shop, len(run.marks))
        _, ends = run.frames(f, start)
        inlet = np.eye(4)
        inlet[:3, :3] = np.column_stack([run.axis, *np.linalg.svd(run.axis[None])[2][1:]])
        inlet = inlet @ turn(1, shop["inlet_angle"] * rng.standard_normal()) @ turn(2, shop["inlet_angle"] * rng.standard_normal())
        off = ends[-1][:3, 3] - run.end - shop["inlet"] * rng.standard_normal(3)
        misses.append(np.concatenate([inlet[:3, :3].T @ off, inlet[:3, 1:3].T @ ends[-1][:3, 0]]))
    sd = np.std(misses, axis=0)
    told = answer["forecast"]["sd"]
    for name, is_, ours in [
        ("place", np.linalg.norm(sd[:3]), told["place_mm"]),
        ("direction", np.linalg.norm(sd[3:]) / DEG, told["direction_deg"]),
    ]:
        figures["sd"].append(ours / is_ - 1.0)
        hold(abs(ours / is_ - 1.0) < 0.05, f"{folder.name} {run.name}: sd of {name} {ours:.3f}, builds say {is_:.3f}")


def main():
    program, examples, work = sys.argv[1], Path(sys.argv[2]), Path(sys.argv[3])
    shutil.rmtree(work, ignore_errors=True)
    rng = np.random.default_rng(20260503)
    for name in JOBS:
        folder = work / name
        shutil.copytree(examples / name, folder)
        for file in ("routes.toml", "cutplan.json"):
            shutil.copy(KEPT / name / file, folder / file)
        legs, saw = stock(folder)
        first = json.loads((folder / "cutplan.json").read_text())["pieces"][0]["mark"]
        answers = fit(program, folder, f'format = 1\n[[piece]]\nmark = "{first}"\nstate = "cut"\n')
        for at, (run_name, answer) in enumerate(answers.items()):
            run = Run(folder, run_name)
            wall = 1.65
            _, ends = run.frames(run.drawn)
            off = np.linalg.norm(ends[-1][:3, 3] - run.end)
            hold(off < 3e-4, f"{name} {run_name}: the chain ends {off:.6f} mm from its route")
            if at == 0:
                forecast(program, folder, run, answer, rng, wall)
            if len(run.bends()) < 2:
                continue
            moved_inlet(program, folder, run, rng, legs, saw)
            built(program, folder, run, rng, wall, inch=at % 2 == 1)
            gross(program, folder, run, rng, wall)
    hold(len(figures["slsqp"]) >= 8, f"only {len(figures['slsqp'])} corrections were held against SLSQP")
    named, of = figures["named"]
    hold(named >= 0.75 * of, f"{named} of {of} gross errors are among the first two")
    print(f"{len(figures['slsqp'])} corrections against SLSQP: objective at most {max(figures['slsqp'], default=0):.1e} above")
    print(f"{len(figures['end'])} builds: true ends at most {max(figures['end'], default=0):.2f} mm off")
    print(f"sd against builds: at most {max(map(abs, figures['sd']), default=0):.3f} off; {named} of {of} gross errors named")
    for fault in faults:
        print(fault)
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
