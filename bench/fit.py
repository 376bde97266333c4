"""Forecast, estimate and correction of the examples' runs beside NumPy and SciPy, side by side in one run, one thread each, processor time.

    python bench/fit.py

The runs with at least three bends of the four examples, with the routes and plans kept in cases/fit; the last two bends yet to be made.

- Forecast: ours has 2000 exact builds and first order; NumPy lays 2000 builds of the same errors all at once, as stacks of 4x4 matrices.
- Estimate: ours also looks for what went wrong; SciPy's `least_squares` has the same readings and errors, differences for slopes.
- Correction: the inlet found elsewhere; SciPy's SLSQP as in checks/fit, differences for slopes.
"""

import json
import os
import pathlib
import statistics
import subprocess
import sys
import tempfile
import time

for name in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS"):
    os.environ[name] = "1"

import numpy as np
from scipy.optimize import least_squares

ROOT = pathlib.Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT / "checks/fit"))

import chain
import check

HEAD = 10  # figures of the start and of the inlet before those of the pieces
BUILDS = 2000


def once(run):
    began = time.process_time()
    return run(), 1000 * (time.process_time() - began)


def stack(count):
    return np.tile(np.eye(4), (count, 1, 1))


def turns(axis, angle):
    """Rotations about one of the frames' own axes, one for each angle."""
    m, (i, j) = stack(len(angle)), [(1, 2), (2, 0), (0, 1)][axis]
    m[:, i, i] = m[:, j, j] = np.cos(angle)
    m[:, j, i] = np.sin(angle)
    m[:, i, j] = -m[:, j, i]
    return m


def slides(*by):
    m = stack(len(by[0]))
    for row, values in enumerate(by):
        m[:, row, 3] = values
    return m


def moved(frame, f):
    """A start or inlet: its place moved in x, y, z, kinked about `up` and `right`."""
    m = stack(len(f)) @ frame
    m[:, :3, 3] += f[:, :3]
    return m @ turns(1, f[:, 3]) @ turns(2, f[:, 4])


def ends(run, start, figures):
    """Frames at the ends of all pieces for rows of figures."""
    at, out = moved(start, figures[:, :5]), []
    for k, clr in enumerate(run.clr):
        f = figures[:, HEAD + 10 * k : HEAD + 10 * k + 10].T
        at = at @ slides(f[0], f[1], f[2]) @ turns(1, f[3]) @ turns(2, f[4]) @ turns(0, f[5]) @ slides(f[6])
        if clr:
            at = at @ slides(f[7] * np.sin(f[8]), f[7] * (1 - np.cos(f[8]))) @ turns(2, f[8]) @ slides(f[9])
        out.append(at)
    return out


def drawn(run):
    return np.concatenate([np.zeros(HEAD), run.drawn.ravel()])


def effects(terms, size):
    matrix = np.zeros((len(terms), size))
    for row, term in zip(matrix, terms):
        for index, factor in term["effects"]:
            row[index] += factor
    return matrix


def forecast(run, case):
    """Standard deviations of place and direction at the inlet."""
    terms, figures = case["terms"], drawn(run)
    random = np.random.default_rng(1)
    errors = random.standard_normal((BUILDS, len(terms))) * [t["sd"] for t in terms] + [t["mean"] for t in terms]
    built = figures + errors @ effects(terms, len(figures))
    inlet = moved(chain.frame(run.end, run.axis, [0.3, 0.5, 0.8]), built[:, 5:10])
    end = ends(run, run.start, built)[-1]
    off = np.einsum("bji,bj->bi", inlet[:, :3, :3], end[:, :3, 3] - inlet[:, :3, 3])
    across = np.einsum("bji,bj->bi", inlet[:, :3, 1:3], end[:, :3, 0])
    return np.linalg.norm(off.std(0)), np.linalg.norm(across.std(0))


def estimate(run, case):
    """The most probable figures."""
    terms, figures = case["built_terms"], drawn(run)
    sds, matrix = np.array([t["sd"] for t in terms]), effects(case["built_terms"], len(figures))

    def residuals(scaled):
        laid = ends(run, run.start, (figures + (scaled * sds) @ matrix)[None])
        rows = [scaled]
        for reading in case["readings"]:
            frame = laid[reading["piece"]][0]
            off = np.array(reading["place"]) - frame[:3, 3] if "place" in reading else frame[:3, 1:3].T @ reading["axis"]
            rows.append(off / reading["sd"])
        return np.concatenate(rows)

    found = least_squares(residuals, np.zeros(len(terms)), method="trf", xtol=1e-10, ftol=1e-10)
    return figures + (found.x * sds) @ matrix


def correct(run, case, legs, saw):
    """The least objective; none when SLSQP finds none."""
    start = run.frames(run.drawn)[1][case["welded"] - 1] if case["welded"] else run.start
    return chain.least(run, case["welded"], start, np.array(case["target"]), np.array(case["axis"]), legs, saw)


def beside(case, folder):
    run = chain.Run(folder, case["run"])
    legs, saw = check.stock(folder)
    (place, direction), first = once(lambda: forecast(run, case))
    apart = max(abs(place / case["sd_place_mm"] - 1), abs(direction / case["sd_direction"] - 1))
    figures, second = once(lambda: estimate(run, case))
    off = np.abs(figures - case["estimated"]).max()
    least, third = once(lambda: correct(run, case, legs, saw))
    above = None if least is None or not case["met"] else case["objective"] / least - 1
    return {"ms": [first, second, third], "apart": apart, "off": off if not case["named"] else 0.0, "above": above}


def main():
    with tempfile.TemporaryDirectory() as work:
        command = ["cargo", "run", "--release", "--quiet", "-p", "fit", "--example", "fit_times", "--", work]
        print(subprocess.run(command, cwd=ROOT, check=True, capture_output=True, text=True).stdout, end="")
        cases = json.loads((pathlib.Path(work) / "fit.json").read_text())
        cases = [c for c in cases if c["welded"] > 0]
        found = []
        for case in cases:
            folder = pathlib.Path(work) / case["job"]
            if not folder.exists():
                check.shutil.copytree(ROOT / "examples" / case["job"], folder)
                for file in ("routes.toml", "cutplan.json"):
                    check.shutil.copy(check.KEPT / case["job"] / file, folder / file)
            found.append(beside(case, folder))
    ours = [[c["ms"][at] for c in cases] for at in (0, 2, 3)]
    theirs = [[f["ms"][at] for f in found] for at in range(3)]
    print(f"{len(cases)} runs; ms a run, median and most")
    for what, a, b in zip(("forecast", "estimate", "correction"), ours, theirs):
        ratios = [y / x for x, y in zip(a, b)]
        print(f"{what}: ours {statistics.median(a):.2f}, {max(a):.2f}; other {statistics.median(b):.1f}, {max(b):.1f}; ratio median {statistics.median(ratios):.0f}")
    above = [f["above"] for f in found if f["above"] is not None]
    print(f"eight runs forecast: ours {8 * statistics.mean(ours[0]):.0f} ms")
    print(f"standard deviations at most {100 * max(f['apart'] for f in found):.1f} % apart; estimated figures at most {max(f['off'] for f in found):.1e}")
    print(f"{len(above)} corrections met by both, our objective at most {100 * max(above):.4f} % above, {-100 * min(above):.4f} % below")


if __name__ == "__main__":
    main()
