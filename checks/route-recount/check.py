"""python check.py PROGRAM EXAMPLES WORK: every example routed quickly by the program, one with the usual effort too, held to recount.py.

Ends with 1 when anything is missed, or when a route that was moved on purpose is not refused.
"""

import pathlib
import re
import shutil
import subprocess
import sys

sys.path.insert(0, str(pathlib.Path(__file__).parent.parent))

import ready
from recount import misses

# The example that is routed with the usual effort too.
LONGER = "hill-climb-four"


def quickly(program, example, work):
    ready.example(program, example, work / example.name)
    return work / example.name / "routes.toml"


def as_usual(program, example, work):
    out = work / f"{example.name}-as-usual"
    shutil.copytree(example, out)
    subprocess.run([program, "route", out], check=True, stdout=subprocess.DEVNULL)
    return out / "routes.toml"


def moved(routes, by):
    """A copy whose first run has its first bend `by` units farther out: no longer what was asked, somewhere."""
    text = routes.read_text()
    rows = list(re.finditer(r"^  \[([^,\]]+), ([^,\]]+), ([^,\]]+)\],$", text, re.M))
    at = rows[1]
    x, y, z = (float(v) + by for v in at.groups())
    copy = routes.with_name("moved.toml")
    copy.write_text(text[: at.start()] + f"  [{x}, {y}, {z}]," + text[at.end() :])
    return copy


def main():
    program, examples, work = map(pathlib.Path, sys.argv[1:4])
    shutil.rmtree(work, ignore_errors=True)
    work.mkdir(parents=True)
    failed = 0
    tasks = [(quickly, p) for p in sorted(examples.iterdir()) if (p / "job.toml").is_file()]
    for way, example in [*tasks, (as_usual, examples / LONGER)]:
        routes = way(program, example, work)
        missed, asked = misses(example, routes)
        wrong, _ = misses(example, moved(routes, 3.0))
        print(f"{example.name}: {asked} requirements, {len(missed)} missed; moved on purpose: {len(wrong)} missed")
        for what, by in missed:
            print(f"  {what} {by:.3f}")
        failed += bool(missed) or not wrong
    sys.exit(1 if failed else 0)


if __name__ == "__main__":
    main()
