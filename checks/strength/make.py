"""Solves cases/*.json by chords.py and heat.py and writes expected.csv. Shares no code with the crate."""

import csv
import json
import pathlib

import chords
import heat
from model import model as chop


def frame_rows(case):
    model = chop(case)
    moved, forces, frequencies = chords.solve(model)
    for name, node in model.bodies.items():
        if node in model.fixed:
            continue
        yield "displacement_mm", name, *(1000 * moved[node, :3])
        yield "rotation_mrad", name, *(1000 * moved[node, 3:])
    for name, node in model.starts.items():
        yield "force_N", name, *forces[node][:3]
        yield "moment_Nm", name, *forces[node][3:]
    for k, frequency in enumerate(frequencies):
        yield "frequencies_Hz", k, frequency


def heat_rows(case):
    *temperatures, flange = heat.solve(case)
    for what, values in zip(("gas_C", "wall_C", "skin_C"), temperatures):
        for k, value in enumerate(values):
            yield what, k, value
    yield "heat_into_flange_W", "", flange


def main():
    with open("expected.csv", "w", newline="") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(["case", "what", "name", "a", "b", "c"])
        for path in sorted(pathlib.Path("cases").glob("*.json")):
            case = json.loads(path.read_text())
            for what, name, *values in frame_rows(case) if "tubes" in case else heat_rows(case):
                cells = [f"{value:.6f}" for value in values]
                writer.writerow([path.stem, what, name, *cells, *[""] * (3 - len(cells))])


if __name__ == "__main__":
    main()
