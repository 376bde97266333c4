"""Reads the shop's set as it is printed: pages, margins, and the order of welding.

    python check.py PROGRAM EXAMPLES FOLDER

Prints what is wrong and ends with 1, or ends with 0. FOLDER is replaced.
"""

import json
import os
import re
import shutil
import subprocess
import sys
import tomllib
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import numpy as np

CHECKS = Path(__file__).parent.parent
sys.path[:0] = [str(CHECKS), str(CHECKS / "rebuild")]

import generate  # noqa: E402
import ready  # noqa: E402

# No ink nearer to the edge of the paper, mm; least lines of text on a page that is not at full size.
MARGIN, LINES = 7.0, 12
# Most pages of a four for a shop.
PAGES = {"hill-climb-four": 25}
DPI = 72

faults = []


def hold(truth, message):
    if not truth:
        faults.append(message)


def run(*words):
    return subprocess.run([str(w) for w in words], capture_output=True, text=True, check=False)


def pictures(pdf):
    """Every page as grey levels."""
    rest = subprocess.run(["pdftoppm", "-gray", "-r", str(DPI), str(pdf)], capture_output=True, check=True).stdout
    while rest:
        _, size, _, rest = rest.split(b"\n", 3)
        width, height = map(int, size.split())
        yield np.frombuffer(rest[: width * height], np.uint8).reshape(height, width)
        rest = rest[width * height :]


def check_margins(name, pdf):
    edge = int(MARGIN / 25.4 * DPI)
    for number, picture in enumerate(pictures(pdf), 1):
        inner = picture[edge:-edge, edge:-edge]
        outside = int((picture < 200).sum()) - int((inner < 200).sum())
        hold(outside == 0, f"{name} page {number}: ink within {MARGIN} mm of the edge")


def check_pages(name, pages, words):
    for number, text in enumerate(pages, 1):
        lines = [line for line in text.split("\n") if line.strip()]
        full_size = "Print at 100 %" in text
        hold(full_size or len(lines) >= LINES, f"{name} page {number}: only {len(lines)} lines")
        for twice in ("in in", "mm mm"):
            hold(not re.search(rf"\b{twice}\b", text), f"{name} page {number}: says `{twice}`")
    hold("Quote" not in "".join(pages), f"{name}: the quote lies in the shop's set")


def joints_of(folder):
    """Names of all joints that are welded, by cut plan, routes and job: an outside count."""
    plan = json.loads((folder / "cutplan.json").read_text())
    job = tomllib.loads((folder / "job.toml").read_text())
    routes = tomllib.loads((folder / "routes.toml").read_text())
    slips = {c["name"] for c in job.get("collector", []) if c.get("body", {}).get("made") == "slip"}
    ports = {p["cylinder"] for p in job.get("port", [])}
    collectors = {c["name"] for c in job.get("collector", [])}
    feeds = {c["name"]: c["feeds"] for c in job.get("collector", []) if "feeds" in c}
    names = []
    for kind in ("primary", "secondary", "tail"):
        for route in routes.get(kind, []):
            of = route["cylinder"] if kind == "primary" else route["from"]
            own = sorted((p for p in plan["pieces"] if p["run"] == f"{kind} {of}"), key=lambda p: p["from"])
            marks = [p["mark"] for p in own]
            names += [f"{a}-{b}" for a, b in zip(marks, marks[1:])]
            if kind == "primary" and of in ports:
                names.append(f"port {of}-{marks[0]}")
            if kind != "primary" and of in collectors:
                names.append(f"{of}-{marks[0]}")
            into = route.get("collector") or (feeds.get(of, "") if kind == "secondary" else "")
            inlet = route.get("inlet", 1)
            if into in collectors and into not in slips:
                names.append(f"{marks[-1]}-{into} {inlet}")
    return sorted(names)


PHASES = ["Phase 1 · Bench", "Phase 2 · On the vehicle", "Phase 3 · Off again", "Phase 4 · Final welds", "Purge, filler, shrinkage"]
HOURS = r"(\d+(?:, \d+)*)"


def check_welding(name, pages, joints):
    text = "\n".join(pages)
    text = text[text.index("Before the first tack") :]
    hold(all(p in text for p in PHASES), f"{name}: lacks a phase")
    places = [text.index(p) for p in PHASES if p in text]
    hold(places == sorted(places), f"{name}: the phases are not in order")
    welds, missed = [], {}
    after = text.find("Not reached from outside")
    table = text[after : text.index(PHASES[4])].split("\n") if after >= 0 else []
    for line in text.split("\n"):
        weld = re.match(r"\s*(\d+)\s+(\S.*?)\s{2,}(\S+)\s{2,}(\S.*?)\s{2,}(\d+) %\s+\[", line)
        if weld:
            welds.append((int(weld.group(1)), weld.group(2), int(weld.group(5))))
    for line in table:
        named = "|".join(re.escape(joint) for joint in sorted(joints, key=len, reverse=True))
        instead = re.match(rf"\s*(\d+)\s+(?:{named})\s+{HOURS}\s+(?:tubes? |itself)", line)
        if instead:
            missed[int(instead.group(1))] = instead.group(2)
    hold([w[0] for w in welds] == list(range(1, len(welds) + 1)), f"{name}: welds are numbered {[w[0] for w in welds]}")
    hold(sorted(w[1] for w in welds) == joints, f"{name}: welded are {sorted(w[1] for w in welds)}, not {joints}")
    for number, joint, share in welds:
        hours = missed.get(number, "").split(", ") if number in missed else []
        hold(all(1 <= int(h) <= 12 for h in hours) and len(set(hours)) == len(hours), f"{name}: {joint} is not reached at {hours}")
        hold(round(100 * (12 - len(hours)) / 12) == share, f"{name}: {joint} is reached {share} %, and not at {hours}")
    hold(not missed or "do this" in text, f"{name}: nothing is said of what is not reached")
    for joint in joints:
        tacked = [line for line in tack_lines(text) if re.search(rf"(?<![\w.]){re.escape(joint)}(?![\w])", line)]
        hold(len(tacked) == 1, f"{name}: {joint} is tacked {len(tacked)} times")


def tack_lines(text):
    """The lines of phases 1 and 2, each row of their tables as one."""
    part = text[text.index(PHASES[0]) : text.index(PHASES[2])]
    return [line for line in part.split("\n") if not re.search(r"\d+ %\s+\[", line)]


def check_job(name, folder):
    joints = None
    for paper, units in (("a4", "mm"), ("letter", "in")):
        out = folder / f"{paper}-{units}"
        printed = run(PROGRAM, "sheets", folder, "-o", out, "--paper", paper, "--units", units, "--json")
        if printed.returncode != 0:
            faults.append(f"{name}: papers ended with {printed.returncode}: {printed.stderr[-400:]}")
            continue
        said = json.loads(printed.stdout)
        pdf = out / "papers.pdf"
        text = run("pdftotext", "-layout", pdf, "-").stdout
        pages = text.split("\f")[:-1]
        where = f"{name} ({paper}, {units})"
        counts[where] = len(pages)
        hold(len(pages) <= PAGES.get(name, 1000), f"{where}: {len(pages)} pages")
        check_pages(where, pages, said)
        check_margins(where, pdf)
        joints = joints or joints_of(folder)
        first = min(s["page"] for s in said["sheets"] if s["kind"] == "welding")
        later = [s["page"] for s in said["sheets"] if s["kind"] in ("jig", "templates", "inspection") and s["page"] > first]
        check_welding(where, pages[first - 1 : min(later, default=len(pages) + 1) - 1], joints)


def prepared(name):
    """An example with its routes and cut plan."""
    folder = WORK / name
    ready.example(PROGRAM, EXAMPLES / name, folder)
    check_job(name, folder)


def generated(kind, seed):
    folder = WORK / f"{kind}-{seed}"
    generate.write(kind, seed, folder)
    cut(f"{kind} {seed}", folder)


def cut(name, folder):
    done = run(PROGRAM, "cut", folder)
    if not (folder / "cutplan.json").is_file():
        return hold(False, f"{name}: cut ended with {done.returncode}: {done.stderr[-400:]}")
    check_job(name, folder)


if __name__ == "__main__":
    PROGRAM, EXAMPLES, WORK = (Path(word) for word in sys.argv[1:4])
    counts = {}
    shutil.rmtree(WORK, ignore_errors=True)
    WORK.mkdir(parents=True)
    tasks = [(prepared, (p.name,)) for p in sorted(EXAMPLES.iterdir()) if (p / "job.toml").is_file()]
    tasks += [(generated, (kind, 1)) for kind in generate.KINDS]
    with ThreadPoolExecutor(max(1, (os.cpu_count() or 2) // 2)) as pool:
        list(pool.map(lambda task: task[0](*task[1]), tasks))
    for where, count in sorted(counts.items()):
        print(f"{where}: {count} pages", file=sys.stderr)
    print("\n".join(faults))
    sys.exit(1 if faults else 0)
