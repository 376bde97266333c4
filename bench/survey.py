"""Surveys beside SciPy and OpenCV, side by side in one run, one thread each.

    python bench/survey.py

- The tape survey of checks/survey (19 points): ours finds its places from nothing, tries other explanations and snoops; SciPy's `least_squares` gets places rounded
  to 20 mm and solves once.
- Markers of a rendered photo of 12 megapixels: ours with dots, OpenCV's ArUco detector with `cornerSubPix` for four points a marker.
- 30 photos of 20 plates: ours with start, bending, wobble, covariance and search for plates that moved; SciPy's `least_squares` gets our answer shifted by
  0.5 mm and 1 mrad, without bending, with the pattern of its Jacobian.
"""

import contextlib
import csv
import os
import pathlib
import statistics
import subprocess
import sys
import tempfile
import time

for name in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS"):
    os.environ[name] = "1"

import cv2
import numpy as np
from scipy.optimize import least_squares
from scipy.sparse import lil_matrix
from scipy.spatial.transform import Rotation

ROOT = pathlib.Path(__file__).resolve().parent.parent
cv2.setNumThreads(1)


def median(run, times=5):
    taken = []
    for _ in range(times):
        began = time.process_time()
        run()
        taken.append(time.process_time() - began)
    return statistics.median(taken)


def tape():
    """SciPy's solution of the tape survey, as checks/survey/make.py sets it up."""
    source = (ROOT / "checks/survey/make.py").read_text().split("solved = least_squares")[0]
    space = {}
    with contextlib.chdir(ROOT / "checks/survey"):
        exec(compile(source, "make.py", "exec"), space)
    begin = np.array([space["start"][n] for n in space["names"]]).ravel()
    return median(lambda: least_squares(space["residuals"], begin, method="trf"))


def detection(photo):
    grey = cv2.imread(str(photo), cv2.IMREAD_GRAYSCALE)
    detector = cv2.aruco.ArucoDetector(cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_APRILTAG_36h11))
    stop = (cv2.TERM_CRITERIA_EPS + cv2.TERM_CRITERIA_COUNT, 30, 1e-3)

    def run():
        corners, _, _ = detector.detectMarkers(grey)
        for at in corners:
            cv2.cornerSubPix(grey, at.reshape(4, 1, 2).copy(), (5, 5), (-1, -1), stop)
        return len(corners)

    return median(run, 3), run()


def bundle(scene):
    """SciPy on the same dots: pose of each plate and photo, lens, wobble with its priors."""
    rows = list(csv.reader(scene.open()))
    lens = np.array([float(v) for v in next(r for r in rows if r[0] == "lens")[1:]])
    photos = [[float(v) for v in r[3:]] for r in rows if r[0] == "photo"]
    dots = [[float(v) for v in r[1:]] for r in rows if r[0] == "dot"]
    photo = np.array([int(d[0]) for d in dots])
    at = np.array([d[1:3] for d in dots])
    plate = np.array([int(d[6]) for d in dots])
    local = np.array([d[7:10] for d in dots])
    world = {int(r[1]): np.array([float(v) for v in r[2:]]) for r in rows if r[0] == "plate"}
    numbers = sorted(world)
    which = np.array([numbers.index(p) for p in plate])
    held = np.bincount(which).argmax()
    n, m = len(numbers), len(photos)
    width = 1200.0

    def pose(values):
        return np.hstack([Rotation.from_quat(values[:4]).as_rotvec(), values[4:]])

    x0 = np.hstack([*(pose(world[k]) for k in numbers), *(np.hstack([pose(np.array(p[3:])), np.zeros(3)]) for p in photos), lens])

    def residuals(x):
        plates, cameras, bent = x[: 6 * n].reshape(n, 6), x[6 * n : 6 * n + 9 * m].reshape(m, 9), x[6 * n + 9 * m :]
        p = Rotation.from_rotvec(plates[which, :3]).apply(local) + plates[which, 3:]
        p = Rotation.from_rotvec(cameras[photo, :3]).apply(p) + cameras[photo, 3:6]
        u = p[:, :2] / p[:, 2:]
        r2 = (u**2).sum(1)
        radial = 1 + r2 * (bent[3] + r2 * (bent[4] + r2 * bent[5]))
        xy = u[:, 0] * u[:, 1]
        d = u * radial[:, None] + np.stack([
            2 * bent[6] * xy + bent[7] * (r2 + 2 * u[:, 0] ** 2), bent[6] * (r2 + 2 * u[:, 1] ** 2) + 2 * bent[7] * xy,
        ], 1)
        seen = bent[1:3] + cameras[photo, 7:9] + (bent[0] * (1 + cameras[photo, 6]))[:, None] * d
        priors = cameras[:, 6:9] / [0.002, 0.001 * width, 0.001 * width]
        hold = (plates[held] - x0[6 * held : 6 * held + 6]) * 1e4
        return np.hstack([((at - seen) / 0.1).ravel(), priors.ravel(), hold])

    count = 2 * len(at)
    pattern = lil_matrix((count + 3 * m + 6, len(x0)), dtype=int)
    for i, (k, p) in enumerate(zip(which, photo)):
        for row in (2 * i, 2 * i + 1):
            pattern[row, 6 * k : 6 * k + 6] = 1
            pattern[row, 6 * n + 9 * p : 6 * n + 9 * p + 9] = 1
            pattern[row, 6 * n + 9 * m :] = 1
    for p in range(m):
        for c in range(3):
            pattern[count + 3 * p + c, 6 * n + 9 * p + 6 + c] = 1
    for c in range(6):
        pattern[count + 3 * m + c, 6 * held + c] = 1
    random = np.random.default_rng(1)
    begin = x0.copy()
    for k in range(n):
        if k != held:
            begin[6 * k : 6 * k + 6] += random.normal(size=6) * [1e-3, 1e-3, 1e-3, 0.5, 0.5, 0.5]
    solved = []
    seconds = median(lambda: solved.append(least_squares(residuals, begin, jac_sparsity=pattern, x_scale="jac", max_nfev=60)), 1)
    return seconds, len(x0), 2 * solved[-1].cost


def main():
    with tempfile.TemporaryDirectory() as folder:
        command = ["cargo", "run", "--release", "--quiet", "-p", "survey", "--example", "survey_times", "--", folder]
        print(subprocess.run(command, cwd=ROOT, check=True, capture_output=True, text=True).stdout, end="")
        print(f"SciPy, the tape survey of checks/survey once from a near start: median {tape():.3f} s")
        seconds, found = detection(pathlib.Path(folder) / "photo.png")
        print(f"OpenCV, the photo of 12 megapixels searched: median {seconds:.3f} s, {found} markers")
        seconds, unknowns, cost = bundle(pathlib.Path(folder) / "scene.csv")
        print(f"SciPy, 30 photos adjusted without bending from a near start: {seconds:.1f} s, {unknowns} unknowns, cost {cost:.0f}")


if __name__ == "__main__":
    sys.exit(main())
