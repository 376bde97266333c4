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
# Width and height of the photos, pixels.
SIZE = 1200, 900

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


def camera_of(f, cx, cy):
    return np.array([[f, 0, cx], [0, f, cy], [0, 0, 1]])


def settled(at, place, sd, camera, distortion, turn, t):
    """The pose at the minimum of the weighted sum of squares: Gauss-Newton steps with OpenCV's projections and derivatives."""
    for _ in range(20):
        seen, by = cv2.projectPoints(place, turn, t, camera, distortion)
        weight = np.repeat(1 / sd, 2)
        step = np.linalg.lstsq(by[:, :6] * weight[:, None], (at - seen[:, 0]).ravel() * weight, rcond=None)[0]
        turn, t = turn + step[:3, None], t + step[3:, None]
    return turn, t


def poses(rows, lens):
    """Where each photo was taken from, by solvePnP on our places of the dots, then with each dot's weight."""
    distortion = np.array([lens[3], lens[4], lens[6], lens[7], lens[5]])
    worst, found = 0.0, []
    for number, _, f, cx, cy, *pose in rows["photo"]:
        qx, qy, qz, qw, *shift = map(float, pose)
        used = np.array([list(map(float, r[1:])) for r in rows["dot"] if r[0] == number])
        at, place, sd = used[:, :2].copy(), used[:, 2:5].copy(), used[:, 9]
        camera = camera_of(float(f), float(cx), float(cy))
        ok, turn, t = cv2.solvePnP(place, at, camera, distortion, flags=cv2.SOLVEPNP_SQPNP)
        turn, t = settled(at, place, sd, camera, distortion, turn, t)
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
        found.append((turn, t))
    return worst, found


def lens_of(rows, lens, found):
    """The lens with all poses, each photo's own wobble taken out of its dots: Gauss-Newton steps with OpenCV's derivatives."""
    camera, bent = camera_of(*lens[:3]), np.array([lens[3], lens[4], lens[6], lens[7], lens[5]])
    # Begun off our answer, so that standing still does not pass.
    camera[0, 0] *= 1.01
    bent = bent * 0.9
    places, seen, weights = [], [], []
    for number, _, f, cx, cy, *_ in rows["photo"]:
        f, cx, cy = float(f), float(cx), float(cy)
        used = np.array([list(map(float, r[1:])) for r in rows["dot"] if r[0] == number])
        seen.append((used[:, :2] - [cx, cy]) * (lens[0] / f) + [lens[1], lens[2]])
        places.append(used[:, 2:5].copy())
        weights.append(np.repeat(1 / used[:, 9] / (lens[0] / f), 2))
    found = [(turn.copy(), t.copy()) for turn, t in found]
    n = 6 * len(found)
    for _ in range(30):
        blocks, right = [], []
        for k, (turn, t) in enumerate(found):
            at, by = cv2.projectPoints(places[k], turn, t, camera, bent)
            block = np.zeros((len(by), n + 8))
            block[:, 6 * k : 6 * k + 6] = by[:, :6]
            # Columns of OpenCV: fx, fy, cx, cy, then the distortion; there is one focal length here.
            block[:, n] = by[:, 6] + by[:, 7]
            block[:, n + 1 :] = by[:, 8:15]
            blocks.append(block * weights[k][:, None])
            right.append((seen[k] - at[:, 0]).ravel() * weights[k])
        step = np.linalg.lstsq(np.vstack(blocks), np.hstack(right), rcond=None)[0]
        found = [(turn + step[6 * k : 6 * k + 3, None], t + step[6 * k + 3 : 6 * k + 6, None]) for k, (turn, t) in enumerate(found)]
        camera = camera_of(camera[0, 0] + step[n], camera[0, 2] + step[n + 1], camera[1, 2] + step[n + 2])
        bent = bent + step[n + 3 :]
    k1, k2, p1, p2, k3 = bent
    off = [camera[0, 0] - lens[0], camera[0, 2] - lens[1], camera[1, 2] - lens[2]]
    hold(max(map(abs, off)) < FOCUS, f"focal length and centre are {off} px apart")
    # k1, k2 and k3 go together: what they do at the corner of the photo is compared.
    r2 = (SIZE[0] ** 2 + SIZE[1] ** 2) / 4 / lens[0] ** 2
    radial = r2 * (k1 - lens[3]) + r2**2 * (k2 - lens[4]) + r2**3 * (k3 - lens[5])
    hold(abs(radial) < BENT and abs(p1 - lens[6]) < BENT and abs(p2 - lens[7]) < BENT, f"distortion is {radial:.5f} apart")
    return off, radial


def main():
    folder = Path(__file__).parent / "given"
    rows = read(folder / "scene.csv")
    lens = list(map(float, rows["lens"][0]))
    both, mine, apart = markers(rows, folder)
    print(f"markers: {mine} by us, {both} of them by OpenCV too, corners {apart:.2f} px apart in the median")
    print(f"dots: {dots(rows, folder):.4f} px apart in the median")
    worst, found = poses(rows, lens)
    print(f"cameras: {worst:.6f} mm apart at most")
    off, radial = lens_of(rows, lens, found)
    print(f"lens: f {off[0]:.3f}, centre {off[1]:.3f} {off[2]:.3f} px apart, at the corner {radial:.5f} of the radius")
    for fault in faults:
        print(fault)
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
