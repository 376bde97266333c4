"""Expected figures for checks/survey: printed ones, and least-squares solutions by scipy."""

import csv
import math
import tomllib

import numpy as np
from scipy.optimize import least_squares

ROWS = [["what", "name", "a", "b", "c"]]

# Printed on the page: adjusted elevation (m) and standard deviation (mm); correction (mm), redundancy.
for name, elevation, sd in [("1", 104.2350, 1.13), ("2", 103.4868, 1.19), ("3", 102.9588, 0.91)]:
    ROWS.append(["level point", name, elevation, sd, ""])
for name, correction, redundancy in [
    ("1 2", 0.81, 0.3), ("1 3", -2.18, 0.7), ("1 4", 0.00, 0.5), ("2 3", 2.01, 0.5), ("2 4", -0.81, 0.7), ("3 4", 0.18, 0.2),
]:
    ROWS.append(["level reading", name, correction, redundancy, ""])
ROWS.append(["level m0", "", 1.65, "", ""])

KNOWN = np.array([
    [27.297, -4.953, 1.47], [20.693, -4.849, 1.93], [22.590, 0.524, 1.2],
    [17.113, -3.003, 2.17], [22.554, 4.727, 1.77], [22.447, -7.880, 1.6],
])
MEASURED = np.array([3.652, 7.036, 4.586, 9.960, 7.542, 7.883])
place = least_squares(lambda p: np.linalg.norm(KNOWN - p, axis=1) - MEASURED, [26.0, -1.0, 1.0], xtol=1e-15, ftol=1e-15).x
ROWS.append(["multilateration", "", *[round(float(v), 6) for v in place]])

# Printed with the example: the two places from three distances, m.
ROWS.append(["three distances", "below", 119.8958, 130.6508, -5.1451])
ROWS.append(["three distances", "above", 119.9999, 129.9999, 30.0019])

SD = {"calipers": 0.15, "rule": 0.5, "tape": 1.0, "rod": 0.3, "flush": 0.2, "row": 0.5}
# Rounding to a step adds step^2 / 12: 0.5 mm for tape and rule, 0.01 mm for the rest.
STEP = {"calipers": 0.0, "rule": 0.5, "tape": 0.5, "rod": 0.0, "flush": 0.0, "row": 0.0}
with open("given/survey.toml", "rb") as f:
    survey = tomllib.load(f)
start = {row[0]: [float(v) for v in row[1:]] for row in csv.reader(open("start.csv"))}
names = list(start)
number = {name: i for i, name in enumerate(names)}


def residuals(flat):
    x = flat.reshape(-1, 3)
    out = []
    for tool, rows in survey["measured"].items():
        sd = math.hypot(SD[tool], STEP[tool] / math.sqrt(12))
        for row in rows:
            if tool in ("flush", "row"):
                a, b, c = (x[number[n]] for n in row[0])
                along = (b - a) / np.linalg.norm(b - a)
                side = c - a - along * np.dot(c - a, along)
                side /= np.linalg.norm(side)
                way = np.cross(along, side) if tool == "flush" else side
                out += [np.dot(x[number[n]] - a, way) / sd for n in row[1]]
            else:
                out.append((np.linalg.norm(x[number[row[0]]] - x[number[row[1]]]) - row[2]) / sd)
    return np.array(out)


solved = least_squares(residuals, np.array([start[n] for n in names]).ravel(), method="trf", xtol=1e-15, ftol=1e-15, gtol=1e-15)
x = solved.x.reshape(-1, 3)
frame = survey["frame"]
origin, (back, front), down = x[number[frame["origin"]]], [x[number[n]] for n in frame["forward"]], x[number[frame["down"]]]
ex = (front - back) / np.linalg.norm(front - back)
ez = origin - down
ez -= ex * np.dot(ez, ex)
ez /= np.linalg.norm(ez)
turned = (x - origin) @ np.array([ex, np.cross(ez, ex), ez]).T
if turned[number[frame["left"]]][1] < 0:
    turned[:, 1] *= -1
ROWS.append(["tape chi2", "", round(2 * solved.cost, 5), "", ""])
for name, p in zip(names, turned):
    ROWS.append(["tape point", name, *[round(float(v), 5) + 0.0 for v in p]])

with open("expected.csv", "w", newline="") as f:
    csv.writer(f, lineterminator="\n").writerows(ROWS)
