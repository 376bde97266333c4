"""Reads the printed markers of a survey with OpenCV.

    python check.py PROGRAM EXAMPLES FOLDER

Prints what is wrong and ends with 1, or ends with 0. FOLDER is replaced.
"""

import re
import shutil
import subprocess
import sys
from pathlib import Path

import cv2
import numpy as np

DPI = 300
MM = 25.4 / DPI
# Tolerances, mm.
SIDE, DOT, BAR = 0.2, 0.05, 0.05
# Dots from the marker's middle, in sides.
OFF = 0.83

faults = []


def hold(truth, message):
    if not truth:
        faults.append(message)


def pages(pdf):
    """Every page as grey levels."""
    rest = subprocess.run(["pdftoppm", "-gray", "-r", str(DPI), str(pdf)], capture_output=True, check=True).stdout
    while rest:
        _, size, _, rest = rest.split(b"\n", 3)
        width, height = map(int, size.split())
        yield np.frombuffer(rest[: width * height], np.uint8).reshape(height, width).copy()
        rest = rest[width * height :]


def expected(text):
    """Number, name and side of every marker, and the two of the bar, of a survey.toml that has them as comments."""
    side = float(re.search(r"^# side = ([\d.]+)$", text, re.M).group(1))
    markers = {}
    for table in text.split("# [[marker]]")[1:]:
        tag = int(re.search(r"tag = (\d+)", table).group(1))
        own = re.search(r"side = ([\d.]+)", table.split("\n\n")[0])
        markers[tag] = float(own.group(1)) if own else side
    bar = [int(n) for n in re.search(r"between = \[(\d+), (\d+)\]", text).groups()]
    for tag in bar:
        markers[tag] = side
    unit = 25.4 if 'units = "in"' in text else 1.0
    measured = float(re.search(r"measured = ([\d.]+)", text).group(1))
    return {tag: s * unit for tag, s in markers.items()}, bar, measured * unit


def middle_of_dots(page, corners):
    """The four dots, refined, in pixels, and where they should be."""
    u, v = (corners[1] - corners[0]), (corners[3] - corners[0])
    middle = corners.mean(axis=0)
    wanted = np.array([middle + OFF * (sx * u + sy * v) for sx, sy in [(-1, -1), (1, -1), (1, 1), (-1, 1)]], np.float32)
    window = max(int(0.08 * np.linalg.norm(u)), 4)
    found = wanted.reshape(-1, 1, 2).copy()
    cv2.cornerSubPix(page, found, (window, window), (-1, -1), (3, 60, 1e-4))
    return found.reshape(-1, 2), wanted


def check(name, folder, program, example):
    job = folder / name
    shutil.copytree(example, job)
    out = folder / f"{name}-sheet"
    done = subprocess.run([program, "survey", "sheet", job, "-o", out], capture_output=True, text=True, check=False)
    hold(done.returncode == 0, f"{name}: survey sheet ended with {done.returncode}: {done.stderr}")
    if done.returncode:
        return
    sides, bar, measured = expected((job / "survey.toml").read_text())
    detector = cv2.aruco.ArucoDetector(cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_APRILTAG_36h11))
    seen = {}
    for page in pages(out / "survey-sheet.pdf"):
        corners, tags, _ = detector.detectMarkers(page)
        for quad, tag in zip(corners, [] if tags is None else tags.flatten()):
            tag, quad = int(tag), quad.reshape(4, 2).astype(np.float64)
            hold(tag in sides, f"{name}: marker {tag} is printed and not in survey.toml")
            hold(tag not in seen, f"{name}: marker {tag} is printed twice")
            # OpenCV keeps the family turned by half a turn: its first corner is the lower right one of a marker that stands upright.
            hold(quad[0][0] > quad[1][0] and quad[0][1] > quad[3][1], f"{name}: marker {tag} is not upright")
            side = np.mean([np.linalg.norm(quad[k] - quad[k - 1]) for k in range(4)]) * MM
            hold(abs(side - sides.get(tag, 0.0)) < SIDE, f"{name}: marker {tag} has a side of {side:.3f} mm, not {sides.get(tag)}")
            dots, _ = middle_of_dots(page, quad)
            seen[tag] = dots.mean(axis=0)
            for k, dot in enumerate(dots):
                away = np.linalg.norm(dot - dots[k - 1]) * MM
                hold(abs(away - 2 * OFF * sides.get(tag, 0.0)) < DOT, f"{name}: dots of marker {tag} lie {away:.3f} mm apart")
    hold(set(seen) == set(sides), f"{name}: not found: {sorted(set(sides) - set(seen))}")
    if all(tag in seen for tag in bar):
        length = np.linalg.norm(seen[bar[0]] - seen[bar[1]]) * MM
        hold(abs(length - measured) < BAR, f"{name}: the bar is {length:.3f} mm long, not {measured}")


def main():
    program, examples, folder = sys.argv[1], Path(sys.argv[2]), Path(sys.argv[3])
    shutil.rmtree(folder, ignore_errors=True)
    folder.mkdir(parents=True)
    found = sorted(p for p in examples.iterdir() if (p / "job.toml").is_file())
    hold(len(found) > 0, "no example was found")
    for example in found:
        check(example.name, folder, program, example)
    for fault in faults[:40]:
        print(fault)
    sys.exit(1 if faults else 0)


main()
