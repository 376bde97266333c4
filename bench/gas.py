"""The gas solver against PyClaw on Sod's shock tube, side by side in one run.

    python bench/gas.py [cells ...]

Both solve the same Euler equations on the same cells from the same start at a Courant number of 0.9, one thread. Printed for
each number of cells: mean error of density at t = 0.2 against the exact solution averaged over cells, and nanoseconds of a
cell update (best of five runs), with their ratios; then the time of 20 speeds of an invented four-cylinder engine, and of a map
of 20 speeds by 15 lengths.

PyClaw is `pip install clawpack==5.14.0`, which compiles Fortran: Debian's package gfortran must be there first. Its solver is
the classic one (wave propagation, Roe with an entropy fix, MC limiter). It calls Fortran once a step from Python, so that its
times fall with the number of cells.
"""

import json
import os
import pathlib
import subprocess
import sys
import time

os.environ["OMP_NUM_THREADS"] = "1"

import numpy as np

ROOT = pathlib.Path(__file__).resolve().parent.parent
GAMMA = 1.4
END = 0.2
# Toro, Riemann Solvers and Numerical Methods, 3rd ed., table 4.2, test 1; with more digits from its equations.
P_STAR, U_STAR = 0.303130178051, 0.927452620049


def exact(x):
    """Density at END."""
    g, p, u = GAMMA, P_STAR, U_STAR
    c = g**0.5
    xi = (x - 0.5) / END
    tail = u - c * p ** ((g - 1) / (2 * g))
    m = (g - 1) / (g + 1)
    right = 0.125 * (p / 0.1 + m) / (m * p / 0.1 + 1)
    shock = u * right / (right - 0.125)
    fan = (2 / (g + 1) - (g - 1) / (g + 1) * np.clip(xi, -c, tail) / c) ** (2 / (g - 1))
    return np.select([xi < -c, xi < tail, xi < u, xi < shock], [1.0, fan, p ** (1 / g), right], 0.125)


def pyclaw_run(n):
    from clawpack import pyclaw, riemann

    solver = pyclaw.ClawSolver1D(riemann.euler_with_efix_1D)
    solver.limiters = pyclaw.limiters.tvd.MC
    solver.cfl_desired, solver.cfl_max = 0.9, 1.0
    solver.bc_lower[0] = solver.bc_upper[0] = pyclaw.BC.extrap
    solver.dt_initial = 0.9 / n / GAMMA**0.5
    domain = pyclaw.Domain([pyclaw.Dimension(0.0, 1.0, n, name="x")])
    state = pyclaw.State(domain, 3)
    state.problem_data.update(gamma=GAMMA, gamma1=GAMMA - 1)
    left = 2 * np.arange(n) < n
    state.q[0] = np.where(left, 1.0, 0.125)
    state.q[1] = 0.0
    state.q[2] = np.where(left, 1.0, 0.1) / (GAMMA - 1)
    solution = pyclaw.Solution(state, domain)
    solver.setup(solution)
    started = time.perf_counter()
    steps = solver.evolve_to_time(solution, END)["numsteps"]
    seconds = time.perf_counter() - started
    inside = exact((np.arange(n)[:, None] + (np.arange(64) + 0.5) / 64) / n).mean(axis=1)
    return {"l1": float(np.abs(solution.state.q[0] - inside).mean()), "ns": 1e9 * seconds / (n * steps)}


def example(name, *arguments):
    command = ["cargo", "run", "--release", "--quiet", "-p", "gas", "--example", name, "--", *arguments]
    return subprocess.run(command, cwd=ROOT, check=True, capture_output=True, text=True).stdout


def main():
    cells = [int(a) for a in sys.argv[1:]] or [60, 260, 1000]
    ours = [json.loads(line) for line in example("gas_times", *map(str, cells)).splitlines()]
    print("cells  L1 ours  L1 PyClaw  ratio  ns ours  ns real gas  ns PyClaw  ratio")
    for line in ours:
        theirs = min((pyclaw_run(line["cells"]) for _ in range(5)), key=lambda r: r["ns"])
        print(
            f"{line['cells']:5}  {line['l1_rho']:.2e}  {theirs['l1']:9.2e}  {line['l1_rho'] / theirs['l1']:5.3f}"
            f"  {line['ns_per_cell_update']:7.1f}  {line['ns_with_real_gas_and_walls']:11.1f}  {theirs['ns']:9.1f}"
            f"  {line['ns_per_cell_update'] / theirs['ns']:5.3f}"
        )
    print("20 speeds of four cylinders:", example("sweep").splitlines()[-1])
    print("20 speeds by 15 lengths, two threads:", example("gas_map").strip())


if __name__ == "__main__":
    main()
