"""Time and memory of a full set of papers, from 4 to 16 runs, by the program itself.

    python bench/papers.py

Each job has N ports in a row and runs of three bends; the program routes nothing, it cuts and prints. Seconds are those that
the program says it took to set the papers (median of three); memory is the greatest of the whole process.
"""

import json
import os
import statistics
import subprocess
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
PROGRAM = ROOT / "target/release/tubewright"


def job(folder, runs):
    lines = [
        'format = 1', f'name = "{runs} runs"', 'units = "mm"', "[tube]", "od = 44.45", "wall = 1.65", 'material = "304L"',
        "[clearance]", "tubes = 1.0", "keepouts = 5.0",
    ]
    routes = ["format = 1", 'units = "mm"']
    for n in range(1, runs + 1):
        lines += ["[[port]]", f"cylinder = {n}", f"at = [{-95.0 * n}, 0.0, 0.0]", "axis = [0.0, 1.0, 0.0]", "stub = 20.0"]
        turn = 20.0 + 7.0 * n
        routes += ["[[primary]]", f"cylinder = {n}", 'collector = "main"', f"inlet = {n}",
                   f"steps = [[40.0, 180.0, {50 + n}.0, 76.2], [60.0, {turn}, 65.0, 76.2], [80.0, -70.0, 80.0, 76.2], [90.0]]"]
    lines += ["[[collector]]", 'name = "main"', "at = [-2000.0, 260.0, -330.0]", "axis = [-1.0, 0.0, 0.0]", "up = [0.0, 0.0, 1.0]",
              f"inlets = {runs}", 'pattern = "ring"', "gap = 2.0", "stub = 40.0",
              "[[stock.bend]]", "clr = 76.2", "angle = 180.0", "legs = [101.6, 101.6]", "price = 24.0",
              "[[stock.straight]]", "length = 1000.0", "price = 18.0",
              "[saw]", "kerf = 1.6", "min_straight = 12.0", "min_arc = 5.0", "[cost]", "joint = 14.0", "cut = 2.5"]
    (folder / "job.toml").write_text("\n".join(lines) + "\n")
    (folder / "routes.toml").write_text("\n".join(routes) + "\n")


def printed(folder):
    """One set: what the program says, and its peak memory in MB."""
    words = [str(PROGRAM), "sheets", str(folder), "-o", str(folder / "out"), "--json"]
    with tempfile.TemporaryFile() as out:
        child = subprocess.Popen(words, stdout=out, stderr=subprocess.DEVNULL)
        _, status, usage = os.wait4(child.pid, 0)
        if os.waitstatus_to_exitcode(status) != 0:
            sys.exit(f"papers ended with {os.waitstatus_to_exitcode(status)} for {folder}")
        out.seek(0)
        return json.load(out), usage.ru_maxrss / 1024, usage.ru_utime + usage.ru_stime


def main():
    if not PROGRAM.is_file():
        sys.exit("build it first: cargo build --release")
    print(f"{'runs':>4} {'pages':>5} {'papers s':>9} {'ms/page':>8} {'process s':>9} {'peak MB':>8} {'PDF kB':>7}")
    for runs in (4, 6, 8, 12, 16):
        with tempfile.TemporaryDirectory() as name:
            folder = Path(name)
            job(folder, runs)
            printed(folder)
            rounds = [printed(folder) for _ in range(3)]
        said = rounds[0][0]
        seconds = statistics.median(r[0]["seconds"]["papers"] for r in rounds)
        pages = said["files"][0]["pages"]
        process = statistics.median(r[2] for r in rounds)
        print(f"{runs:4} {pages:5} {seconds:9.3f} {1000 * seconds / pages:8.1f} {process:9.3f} "
              f"{max(r[1] for r in rounds):8.0f} {said['files'][0]['bytes'] / 1000:7.0f}")


if __name__ == "__main__":
    main()
