"""Writes expected.csv from the package fluids (pip install fluids==1.3.1)."""

import csv
import pathlib

from fluids.piping import nearest_pipe, t_from_gauge

SIZES = [0.5, 0.75, 1, 1.25, 1.5, 2, 2.5, 3, 3.5, 4]
SCHEDULES = ["5", "5S", "10", "10S", "40", "40S", "80", "80S"]
GAUGES = range(7, 23)

with open(pathlib.Path(__file__).with_name("expected.csv"), "w", newline="") as file:
    rows = csv.writer(file, lineterminator="\n")
    rows.writerow(["kind", "size", "schedule", "od_mm", "wall_mm"])
    for size in SIZES:
        for schedule in SCHEDULES:
            _, _, outside, wall = nearest_pipe(NPS=size, schedule=schedule)
            rows.writerow(["pipe", size, schedule, f"{outside * 1e3:.4f}", f"{wall * 1e3:.4f}"])
    for gauge in GAUGES:
        rows.writerow(["gauge", gauge, "BWG", "", f"{t_from_gauge(gauge, schedule='BWG') * 1e3:.4f}"])
