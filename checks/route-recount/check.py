"""python check.py PROGRAM EXAMPLES WORK: every example routed by the program and held to recount.py.

Ends with 1 when anything is missed, or when a route that was moved on purpose is not refused.
"""

import pathlib
import re
import subprocess
import sys

from recount import misses


def routed(program, example, work):
    out = work / example.name
    subprocess.run([program, "build", example, "-o", out, "--effort", "2"], check=True, stdout=subprocess.DEVNULL)
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
    work.mkdir(parents=True, exist_ok=True)
    failed = 0
    for example in sorted(p for p in examples.iterdir() if (p / "job.toml").is_file()):
        routes = routed(program, example, work)
        missed, asked = misses(example, routes)
        wrong, _ = misses(example, moved(routes, 3.0))
        print(f"{example.name}: {asked} requirements, {len(missed)} missed; moved on purpose: {len(wrong)} missed")
        for what, by in missed:
            print(f"  {what} {by:.3f}")
        failed += bool(missed) or not wrong
    sys.exit(1 if failed else 0)


if __name__ == "__main__":
    main()
