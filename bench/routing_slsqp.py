"""Routing against SciPy's SLSQP and L-BFGS-B on the same problem, side by side in one run.

    python bench/routing_slsqp.py [--starts N] [--variants N] [--family NAME]

Every solver has the same jobs, the same structures (inlets, numbers of bends, CLRs), the same starts (those that the
search itself tries) and the same compiled functions (objective, requirements, true gradients; see bench/slsqp/src/lib.rs).
One thread; processor time. A success holds every requirement to 0.05 mm when counted to the letter at points 1 mm apart.

Ours repairs a start (damped least squares) and then takes out its turning (sequential quadratic programming).
SLSQP minimises turning under the requirements, each missed by ROUNDING at most: inlets stand exactly as far apart as they
must, and a last bit missed there that no step can mend stops it at once. It looks at the points and takes together those
that are given by `--step` and `--block`. Its variables are scaled to have curvature near 1. `met` is the time until its
first point that holds every requirement, `end` until it stops by itself. Where its line search fails it restarts from there.
L-BFGS-B minimises the squares of what is missed and turning, its weight lowered in three stages as ours has it.
"""

import argparse
import ctypes
import os
import pathlib
import statistics
import subprocess
import sys
import time

for threads in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "RAYON_NUM_THREADS"):
    os.environ[threads] = "1"

import numpy as np
from scipy.optimize import minimize

FAMILIES = ["inline four", "V8 bank", "inline six", "turbo"]
ROOT = pathlib.Path(__file__).resolve().parent.parent
TARGET = ROOT / "target" / "release"
SCALE = 200.0  # mm: turning has a curvature of about 1 / SCALE^2 rad per mm^2
WORTH = 1.0  # of a radian in SLSQP's objective
REACH = 1.5  # 300 mm: SLSQP has no trust region and without bounds leaves for 1e9 mm and more
MARGIN = 0.06  # mm, as our polish has it
MET = 0.05  # mm
ROUNDING = 1e-3  # mm

DOUBLES = ctypes.POINTER(ctypes.c_double)


def doubles(array):
    return array.ctypes.data_as(DOUBLES)


def library():
    subprocess.run(["cargo", "build", "--release", "--quiet", "-p", "bench-slsqp"], cwd=ROOT, check=True)
    name = {"darwin": "libbench_slsqp.dylib", "win32": "bench_slsqp.dll"}.get(sys.platform, "libbench_slsqp.so")
    lib = ctypes.CDLL(str(TARGET / name))
    lib.bench_open.restype = ctypes.c_void_p
    lib.bench_open.argtypes = [ctypes.c_uint32, ctypes.c_uint32, ctypes.c_uint64, ctypes.c_uint32]
    lib.bench_starts.restype = ctypes.c_uint32
    lib.bench_starts.argtypes = [ctypes.c_void_p]
    lib.bench_begin.argtypes = [ctypes.c_void_p, ctypes.c_uint32, ctypes.c_double, ctypes.c_double, ctypes.c_uint32,
                                ctypes.POINTER(ctypes.c_uint32)]
    lib.bench_evaluate.argtypes = [ctypes.c_void_p] + [DOUBLES] * 6
    lib.bench_penalty.argtypes = [ctypes.c_void_p, DOUBLES, ctypes.c_double, DOUBLES, DOUBLES]
    lib.bench_judge.argtypes = [ctypes.c_void_p, DOUBLES, DOUBLES]
    lib.bench_ours.argtypes = [ctypes.c_void_p, ctypes.c_bool, ctypes.c_bool, DOUBLES]
    lib.bench_polish.argtypes = [ctypes.c_void_p, DOUBLES, DOUBLES]
    lib.bench_close.argtypes = [ctypes.c_void_p]
    return lib


class Problem:
    """One start: the compiled functions at a point, evaluated once for each point asked for."""

    def __init__(self, lib, bench, start, step, block):
        self.lib, self.bench = lib, bench
        sizes = (ctypes.c_uint32 * 2)()
        lib.bench_begin(bench, start, step, MARGIN, block, sizes)
        self.n, self.m = sizes[0], sizes[1]
        self.x = np.full(self.n, np.nan)
        self.objective, self.gradient = ctypes.c_double(), np.zeros(self.n)
        self.rows, self.jacobian = np.zeros(self.m), np.zeros((self.m, self.n))
        self.compiled, self.plain = 0.0, ctypes.c_double()
        self.first_met, self.exits = None, []

    def at(self, x):
        if not np.array_equal(x, self.x):
            self.x = np.array(x)
            mm = np.ascontiguousarray(SCALE * self.x)
            self.lib.bench_evaluate(self.bench, doubles(mm), ctypes.byref(self.objective),
                                    doubles(self.gradient), doubles(self.rows), doubles(self.jacobian),
                                    ctypes.byref(self.plain))
            self.compiled += self.plain.value
            if self.first_met is None and self.rows.max() <= MARGIN:
                self.first_met = (time.process_time(), mm)

    def judged(self, mm):
        out = np.zeros(2)
        self.lib.bench_judge(self.bench, doubles(np.ascontiguousarray(mm)), doubles(out))
        return out


def slsqp(problem, iterations, restarts):
    """(seconds to the first point met, met), (seconds, missed, turning, x mm) of the whole run."""

    def function(x):
        problem.at(x)
        return WORTH * problem.objective.value, WORTH * SCALE * problem.gradient

    def requirement(x):
        problem.at(x)
        return (ROUNDING - problem.rows) / SCALE

    def slope(x):
        problem.at(x)
        return -problem.jacobian

    began = time.process_time()
    x, left, spare = np.zeros(problem.n), iterations, restarts
    while left > 0:
        try:
            result = minimize(function, x, jac=True, method="SLSQP", bounds=[(-REACH, REACH)] * problem.n,
                              constraints=[{"type": "ineq", "fun": requirement, "jac": slope}],
                              options={"maxiter": left, "ftol": 1e-7})
        except ValueError:  # not a number met on the way
            break
        problem.exits.append(result.status)
        if not np.isfinite(result.x).all():
            break
        x, left = result.x, left - max(result.nit, 1)
        if result.status == 0 or spare == 0:
            break
        spare -= 1  # its line search has failed: restart from there, with a fresh curvature
    end = SCALE * x
    seconds = time.process_time() - began
    missed, turn = problem.judged(end)
    first = problem.first_met
    if first is None:
        early = (seconds, False)
    else:
        early = (first[0] - began, problem.judged(first[1])[0] <= MET)
    return early, (seconds, missed, turn, end)


def lbfgs(problem, iterations):
    """Seconds, missed and turning."""
    gradient, cost = np.zeros(problem.n), ctypes.c_double()

    def function(x, turn):
        mm = np.ascontiguousarray(SCALE * x)
        problem.lib.bench_penalty(problem.bench, doubles(mm), turn, ctypes.byref(cost), doubles(gradient))
        return cost.value, SCALE * gradient

    began = time.process_time()
    x = np.zeros(problem.n)
    for turn in (300.0, 30.0, 0.0):
        x = minimize(function, x, args=(turn,), jac=True, method="L-BFGS-B", options={"maxiter": iterations}).x
    seconds = time.process_time() - began
    missed, turn = problem.judged(SCALE * x)
    return seconds, missed, turn


def ours(problem, polished):
    out = np.zeros(2)
    began = time.process_time()
    problem.lib.bench_ours(problem.bench, polished, False, doubles(out))
    seconds = time.process_time() - began
    problem.lib.bench_ours(problem.bench, polished, True, doubles(out))
    return seconds, out[0], out[1]


class Tally:
    """Seconds spent on all starts, by the number of those that succeeded."""

    def __init__(self):
        self.seconds, self.successes = 0.0, 0

    def add(self, seconds, success):
        self.seconds += seconds
        self.successes += bool(success)

    @property
    def ms(self):
        return 1e3 * self.seconds / self.successes if self.successes else float("inf")


def family(lib, number, options):
    tallies = {name: Tally() for name in ("met", "end", "slsqp met", "slsqp end", "lbfgs")}
    excess, compiled, spent, starts = [], 0.0, 0.0, 0
    for variant in range(options.variants):
        bench = lib.bench_open(number, variant, 1, options.starts)
        for start in range(lib.bench_starts(bench)):
            starts += 1
            problem = Problem(lib, bench, start, options.step, options.block)
            seconds, missed, _ = ours(problem, False)
            tallies["met"].add(seconds, missed <= MET)
            seconds, our_miss, our_turn = ours(problem, True)
            tallies["end"].add(seconds, our_miss <= MET)
            early, (seconds, missed, turn, end) = slsqp(problem, options.iterations, options.restarts)
            tallies["slsqp met"].add(*early)
            tallies["slsqp end"].add(seconds, missed <= MET)
            compiled, spent = compiled + problem.compiled, spent + seconds
            if missed <= MET and our_miss <= MET:
                excess.append(100.0 * (our_turn / turn - 1.0))
            if options.verbose:
                after = np.zeros(2)
                lib.bench_polish(bench, doubles(np.ascontiguousarray(end)), doubles(after))
                print(f"  {variant} {start:3}: ours {our_miss:8.3f} mm {our_turn:8.4f} rad; SLSQP {missed:8.3f} mm {turn:8.4f} rad"
                      f" {seconds:6.2f} s n {problem.n} m {problem.m} exits {problem.exits}; polished from there {after[0]:.3f} mm {after[1]:.4f} rad", flush=True)
            seconds, missed, _ = lbfgs(problem, 400)
            tallies["lbfgs"].add(seconds, missed <= MET)
        lib.bench_close(bench)
    row(FAMILIES[number], starts, tallies, excess, compiled / max(spent, 1e-9))


def row(name, starts, tallies, excess, compiled):
    cells = [f"{tallies[t].ms:8.1f} ({tallies[t].successes:3})" for t in ("met", "slsqp met", "lbfgs", "end", "slsqp end")]
    met = tallies["slsqp met"].ms / tallies["met"].ms
    end = tallies["slsqp end"].ms / tallies["end"].ms
    turn = f"{statistics.median(excess):+7.3f} {max(excess):+7.3f} ({len(excess)})" if excess else "-"
    print(f"{name:12} {starts:4} " + " ".join(cells) + f" {met:6.1f} {end:6.1f}  {turn}  {100 * compiled:.0f} %", flush=True)


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("--starts", type=int, default=6, help="for each variant")
    parser.add_argument("--variants", type=int, default=2)
    parser.add_argument("--family")
    parser.add_argument("--step", type=float, default=4.0, help="mm between the points SLSQP looks at")
    parser.add_argument("--block", type=int, default=8, help="neighbouring points taken together")
    parser.add_argument("--iterations", type=int, default=200, help="of SLSQP, at most")
    parser.add_argument("--restarts", type=int, default=10, help="of SLSQP where its line search fails, at most")
    parser.add_argument("--worth", type=float, default=1.0, help="of a radian in SLSQP's objective")
    parser.add_argument("--verbose", action="store_true")
    options = parser.parse_args()
    global WORTH
    WORTH = options.worth
    lib = library()
    print("ms of one thread per success (successes). Ours: met = repaired, end = polished. Ratios: SLSQP / ours.")
    print("turning: ours over SLSQP's where both succeed, %: median, most (pairs). Last: share of SLSQP's time in the compiled functions.")
    print(f"{'family':12} {'runs':>4} {'met':>14} {'SLSQP met':>14} {'L-BFGS-B':>14} {'end':>14} {'SLSQP end':>14} {'ratios':>12}  turning %")
    for number, name in enumerate(FAMILIES):
        if options.family in (None, name):
            family(lib, number, options)


if __name__ == "__main__":
    main()
