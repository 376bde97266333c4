"""Holds markers, dots, camera places and lens of the kept photos (given/scene.csv) against OpenCV.

    python check.py

Prints what is wrong and ends with 1, or ends with 0. That scene.csv is what we find is held by crates/survey/tests/kept.rs.
"""

import csv
import sys
from pathlib import Path

import cv2
import numpy as np

# Markers that OpenCV must not be alone to find: those with a side of so many pixels or more.
LEAST_SIDE = 30
# Tolerances: corners of a marker (parts of its side), and their median, pixels; dots (median), pixels; place of a camera, mm; focal
# length and centre, pixels; distortion at the corner.
CORNER, CORNERS, DOT, CAMERA, FOCUS, BENT = 0.2, 2.5, 0.08, 1e-3, 0.01, 1e-4

faults = []


def hold(truth, message):
    if not truth:
        faults.append(message)


def read(path):
    rows = {"seen": [], "lens": [], "photo": [], "plate": [], "dot": []}
    for kind, *values in csv.reader(path.open()):
        rows[kind].append(values)
    return rows


def markers(rows, folder):
    """Numbers and corners, by a detector with its own copy of the family."""
    detector = cv2.aruco.ArucoDetector(cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_APRILTAG_36h11))
    ours = {}
    for name, tag, *at in rows["seen"]:
        ours[name, int(tag)] = np.array(at, float).reshape(4, 2)
    apart = []
    for path in sorted(folder.glob("*.jpg")):
        corners, tags, _ = detector.detectMarkers(cv2.imread(str(path), cv2.IMREAD_GRAYSCALE))
        for at, tag in zip(corners, np.ravel(tags) if tags is not None else []):
            at = at.reshape(4, 2)
            side = np.linalg.norm(at - np.roll(at, 1, 0), axis=1).min()
            mine = ours.get((path.name, int(tag)))
            hold(mine is not None or side < LEAST_SIDE, f"{path.name}: marker {tag}, {side:.0f} px, was not found")
            if mine is not None:
                # OpenCV counts the corners from the family's lower right.
                off = min(np.linalg.norm(np.roll(at, k, 0) - mine, axis=1).max() for k in range(4))
                hold(off < CORNER * side, f"{path.name}: marker {tag}: corners {off:.1f} px apart")
                apart.append(off)
    hold(len(apart) > 100, f"only {len(apart)} markers are found by both")
    hold(np.median(apart) < CORNERS, f"corners are {np.median(apart):.2f} px apart in the median")
    return len(apart), len(ours), float(np.median(apart))


def dots(rows, folder):
    """Middles of the dots, by cornerSubPix from places half a pixel off ours."""
    names = {number: name for number, name, *_ in rows["photo"]}
    found = []
    for number, name in names.items():
        mine = np.array([[float(x), float(y)] for photo, x, y, *_ in rows["dot"] if photo == number], np.float32)
        grey = cv2.imread(str(folder / name), cv2.IMREAD_GRAYSCALE)
        stop = (cv2.TERM_CRITERIA_EPS + cv2.TERM_CRITERIA_COUNT, 60, 1e-4)
        theirs = cv2.cornerSubPix(grey, mine[:, None] + np.float32(0.4), (3, 3), (-1, -1), stop)[:, 0]
        found.append(np.linalg.norm(theirs - mine, axis=1))
    middle = float(np.median(np.concatenate(found)))
    hold(middle < DOT, f"dots are {middle:.3f} px apart in the median")
    return middle


def poses(rows, lens):
    """Where each photo was taken from, by solvePnP on our places of the dots."""
    distortion = np.array([lens[3], lens[4], lens[6], lens[7], lens[5]])
    worst = 0.0
    for number, _, f, cx, cy, *pose in rows["photo"]:
        qx, qy, qz, qw, *shift = map(float, pose)
        used = [list(map(float, r[1:])) for r in rows["dot"] if r[0] == number]
        at, place = np.array([u[:2] for u in used]), np.array([u[2:5] for u in used])
        camera = np.array([[float(f), 0, float(cx)], [0, float(f), float(cy)], [0, 0, 1]])
        ok, turn, t = cv2.solvePnP(place, at, camera, distortion, flags=cv2.SOLVEPNP_SQPNP)
        turn, t = cv2.solvePnPRefineLM(place, at, camera, distortion, turn, t, (3, 300, 1e-14))
        theirs = -cv2.Rodrigues(turn)[0].T @ t.ravel()
        x, y, z, w = qx, qy, qz, qw
        ours = np.array([
            [1 - 2 * (y * y + z * z), 2 * (x * y - z * w), 2 * (x * z + y * w)],
            [2 * (x * y + z * w), 1 - 2 * (x * x + z * z), 2 * (y * z - x * w)],
            [2 * (x * z - y * w), 2 * (y * z + x * w), 1 - 2 * (x * x + y * y)],
        ])
        off = float(np.linalg.norm(theirs + ours.T @ np.array(shift)))
        hold(ok and off < CAMERA, f"photo {number}: camera {off:.5f} mm apart")
        worst = max(worst, off)
    return worst


def lens_of(rows, lens, size):
    """The lens, by calibrateCamera on our places, each photo's own wobble taken out of its dots."""
    places, seen = [], []
    for number, _, f, cx, cy, *_ in rows["photo"]:
        f, cx, cy = float(f), float(cx), float(cy)
        used = [list(map(float, r[1:])) for r in rows["dot"] if r[0] == number]
        at = np.array([u[:2] for u in used])
        at = (at - [cx, cy]) * (lens[0] / f) + [lens[1], lens[2]]
        seen.append(at.astype(np.float32)[:, None])
        places.append(np.array([u[2:5] for u in used], np.float32))
    start = np.array([[0.75 * size[0], 0, (size[0] - 1) / 2], [0, 0.75 * size[0], (size[1] - 1) / 2], [0, 0, 1]])
    flags = cv2.CALIB_USE_INTRINSIC_GUESS | cv2.CALIB_FIX_ASPECT_RATIO
    stop = (cv2.TERM_CRITERIA_EPS + cv2.TERM_CRITERIA_COUNT, 500, 1e-12)
    _, camera, bent, _, _ = cv2.calibrateCamera(places, seen, size, start, np.zeros(5), flags=flags, criteria=stop)
    k1, k2, p1, p2, k3 = bent.ravel()[:5]
    off = [camera[0, 0] - lens[0], camera[0, 2] - lens[1], camera[1, 2] - lens[2]]
    hold(max(map(abs, off)) < FOCUS, f"focal length and centre are {off} px apart")
    # k1, k2 and k3 go together: what they do at the corner of the photo is compared.
    r2 = (size[0] ** 2 + size[1] ** 2) / 4 / lens[0] ** 2
    radial = r2 * (k1 - lens[3]) + r2**2 * (k2 - lens[4]) + r2**3 * (k3 - lens[5])
    hold(abs(radial) < BENT and abs(p1 - lens[6]) < BENT and abs(p2 - lens[7]) < BENT, f"distortion is {radial:.5f} apart")
    return off, radial


def main():
    folder = Path(__file__).parent / "given"
    rows = read(folder / "scene.csv")
    lens = list(map(float, rows["lens"][0]))
    grey = cv2.imread(str(next(folder.glob("*.jpg"))), cv2.IMREAD_GRAYSCALE)
    both, mine, apart = markers(rows, folder)
    print(f"markers: {mine} by us, {both} of them by OpenCV too, corners {apart:.2f} px apart in the median")
    print(f"dots: {dots(rows, folder):.4f} px apart in the median")
    print(f"cameras: {poses(rows, lens):.6f} mm apart at most")
    off, radial = lens_of(rows, lens, (grey.shape[1], grey.shape[0]))
    print(f"lens: f {off[0]:.3f}, centre {off[1]:.3f} {off[2]:.3f} px apart, at the corner {radial:.5f} of the radius")
    for fault in faults:
        print(fault)
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
