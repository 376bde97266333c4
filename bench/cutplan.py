#!/usr/bin/env python3
"""Cut plans against a general solver, side by side in one run, on the instances of checks/cut-optima.

    python3 -m venv .venv && .venv/bin/pip install highspy numpy
    .venv/bin/python bench/cutplan.py [name]

Both are given the same instances on the same machine, one after the other: our program (release build,
seconds of the whole plan with its proof) and HiGHS on one exact mixed-integer model. Prints ratios; an instance that
ours leaves unproven has none and is counted apart.
"""
import importlib.util
import json
import pathlib
import statistics
import subprocess
import sys

ROOT = pathlib.Path(__file__).resolve().parent.parent
CHECK = ROOT / "checks" / "cut-optima"


def ours(name):
    out = subprocess.run(
        ["cargo", "run", "--release", "--quiet", "-p", "cutplan", "--example", "measure", "--", "small", "3"],
        cwd=ROOT, check=True, capture_output=True, text=True).stdout
    table = {}
    for line in out.splitlines()[1:]:
        cells = line.split()
        if name in cells[0]:
            table[cells[0]] = (float(cells[3]), cells[5] == "true", float(cells[-1]))
    return table


def main():
    name = sys.argv[1] if len(sys.argv) > 1 else ""
    spec = importlib.util.spec_from_file_location("model", CHECK / "make.py")
    model = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(model)
    table = ours(name)
    ratios, unproven, ours_s, their_s = [], [], [], []
    print(f"{'instance':20} {'ours':>9} {'proven':>6} {'s':>8} {'HiGHS':>9} {'s':>8} {'ratio':>8}")
    for instance, (cost, proven, seconds) in sorted(table.items()):
        given = json.loads((CHECK / "given" / f"{instance}.json").read_text())
        least, _, _, their, _ = model.solve(given)
        if proven:
            ratios.append(their / max(seconds, 1e-3))
        else:
            unproven.append(instance)
        ratio = f"{ratios[-1]:8.1f}" if proven else "unproven"
        print(f"{instance:20} {cost:9.2f} {str(proven):>6} {seconds:8.3f} {least:9.2f} {their:8.3f} {ratio}", flush=True)
        ours_s.append(seconds)
        their_s.append(their)
    print(f"median ratio {statistics.median(ratios):.1f}, least {min(ratios):.1f}, most {max(ratios):.1f}, of {len(ratios)} "
          f"instances proven by ours too; medians {statistics.median(ours_s):.3f} s and {statistics.median(their_s):.3f} s")
    print(f"not proven by ours: {', '.join(unproven) or 'none'}")


if __name__ == "__main__":
    main()
