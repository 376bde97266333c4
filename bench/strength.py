"""Frames and heat beside OpenSees and SciPy, side by side in one run, one thread each, processor time.

    python bench/strength.py

The header of `crates/strength/examples/strength_times.rs`: eight primaries into two collectors, two secondaries.

- OpenSees (`pip install openseespy==3.7.1.2`; it needs Debian's libblas3 and liblapack3) solves the same header chopped into straight
  beams as checks/strength does it, but coarser, 20 mm and 6 degrees: how far its figures are from ours is printed. Timed are the calls
  that build the model, the static solution and eight modes, without and with a bracket; it has the temperatures given.
- SciPy's `solve_bvp` solves the heat of one primary as in checks/strength/heat.py.
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

ROOT = pathlib.Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT / "checks/strength"))

import by_opensees
import heat
import model

model.STRAIGHT = 0.02
model.TURN = np.radians(6)


def median(run, times=5):
    taken = []
    for _ in range(times):
        began = time.process_time()
        run()
        taken.append(time.process_time() - began)
    return 1000 * statistics.median(taken)


def apart(found, ours):
    """Greatest difference, in percent of the longest of our vectors."""
    found, ours = np.array(found), np.array(ours)
    return 100 * np.linalg.norm(found - ours, axis=-1).max() / np.linalg.norm(ours, axis=-1).max()


def frame(path):
    case = json.loads(path.read_text())
    chopped, ours = model.model(case), case["ours"]
    moved, forces, hertz = by_opensees.solve(chopped)
    bodies = [moved[n][:3] for n in chopped.bodies.values()]
    starts = [forces[n][:3] for n in chopped.starts.values()]
    away = [
        apart(bodies, np.array(ours["bodies_m"])[:, :3]),
        apart(starts, np.array(ours["starts_N"])[: len(starts), :3]),
        100 * np.abs(hertz / np.array(ours["frequencies_Hz"]) - 1).max(),
    ]
    unknowns = 6 * (len(chopped.nodes) - len(chopped.fixed))
    words = "movement {:.2f} %, force {:.2f} %, frequency {:.2f} % from ours".format(*away)
    print(f"OpenSees, {path.stem}: built, solved, eight modes: {median(lambda: by_opensees.solve(chopped)):.0f} ms"
          f" ({unknowns} unknowns; {words}); of that building the model {median(lambda: by_opensees.build(chopped, True)):.0f} ms, twice")


def warm(path):
    case = json.loads(path.read_text())
    away = np.abs(heat.solve(case)[1] - np.array(case["ours_wall_C"])).max()
    print(f"SciPy, heat of one tube, one heat transfer: {median(lambda: heat.solve(case)):.0f} ms ({away:.3f} K from ours)")


def main():
    with tempfile.TemporaryDirectory() as folder:
        command = ["cargo", "run", "--release", "--quiet", "-p", "strength", "--example", "strength_times", "--", folder]
        print(subprocess.run(command, cwd=ROOT, check=True, capture_output=True, text=True).stdout, end="")
        folder = pathlib.Path(folder)
        frame(folder / "frame.json")
        frame(folder / "bracket.json")
        warm(folder / "heat.json")


if __name__ == "__main__":
    main()
