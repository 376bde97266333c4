"""The gas solver against Cantera and against transfer matrices.

    python check.py [PROGRAM EXAMPLES] FOLDER ...

Writes files of the forms that the example `reference` of crates/gas reads, runs it, and holds what it prints. Prints what is
wrong and ends with 1, or ends with 0.
"""

import json
import pathlib
import subprocess
import sys

import numpy as np
from scipy.optimize import brentq

ROOT = pathlib.Path(__file__).resolve().parent.parent.parent
FOLDER = pathlib.Path(sys.argv[3] if len(sys.argv) > 3 else sys.argv[1])
# Built together with the program where there is one.
REFERENCE = (
    [pathlib.Path(sys.argv[1]).parent / "examples" / "reference"]
    if len(sys.argv) > 3
    else ["cargo", "run", "--quiet", "-p", "gas", "--example", "reference", "--"]
)
faults = []


def hold(truth, message):
    if not truth:
        faults.append(message)


def computed(name, content):
    """What the solver makes of a file."""
    FOLDER.mkdir(parents=True, exist_ok=True)
    path = FOLDER / f"{name}.json"
    path.write_text(json.dumps(content))
    command = [*REFERENCE, str(path)]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
    if done.returncode != 0:
        sys.exit(f"reference: {done.stderr[:2000]}")
    return json.loads(done.stdout)


def properties():
    """Mixtures that no kept table holds: air with some exhaust, lean and rich products."""
    import cantera

    gas = cantera.Solution("gri30.yaml")
    mixtures = {
        "air": {"O2": 1.0, "N2": 3.76},
        "lean products": {"CO2": 8.0, "H2O": 9.0, "O2": 3.0, "N2": 58.28},
        "rich products": {"CO2": 5.5, "CO": 2.5, "H2O": 8.2, "H2": 0.8, "N2": 40.7},
        "half exhaust": {"CO2": 4.0, "H2O": 4.5, "O2": 6.25, "N2": 47.0},
    }
    columns = ["T_K", "cp", "cv", "gamma", "mu_Pa_s"]
    tables = []
    for name, moles in mixtures.items():
        rows = []
        for t in np.arange(300.0, 1801.0, 150.0):
            gas.TPX = t, 101325.0, moles
            rows.append([t, gas.cp_mass, gas.cv_mass, gas.cp_mass / gas.cv_mass, gas.viscosity])
        r = cantera.gas_constant / gas.mean_molecular_weight
        tables.append({"name": name, "mole_fractions_unnormalised": moles, "R": r, "columns": columns, "rows": rows})
    answer = computed("properties", {"tables": tables})
    for theirs, ours in zip(tables, answer["tables"], strict=True):
        hold(abs(ours["R"] / theirs["R"] - 1) < 1e-4, f"{theirs['name']}: R {ours['R']}, Cantera {theirs['R']}")
        for a, b in zip(theirs["rows"], ours["rows"], strict=True):
            for column, most, x, y in zip(columns, [1e-9, 0.012, 0.016, 0.006, 0.03], a, b, strict=True):
                hold(abs(y / x - 1) < most, f"{theirs['name']}, {a[0]:.0f} K, {column}: {y}, Cantera {x}")


def pipe(k, length, area):
    """Transfer matrix of pressure and volume flow, impedance per area 1."""
    kl = k * length
    return np.array([[np.cos(kl), 1j * np.sin(kl) / area], [1j * area * np.sin(kl), np.cos(kl)]])


def modes(item, count):
    """Lowest frequencies at which closed primaries in phase and an open collector ring."""

    def end_pressure(f):
        k = 2 * np.pi * f / item["c"]
        closed = np.array([1.0, 0.0])
        p, flow = pipe(-k, item["L1"], item["A1"]) @ closed
        return (pipe(-k, item["L2"], item["A2"]) @ np.array([p, item["primaries"] * flow]))[0].real

    found, f, step = [], 1.0, 0.5
    while len(found) < count and f < 20000:
        if end_pressure(f) * end_pressure(f + step) < 0:
            found.append(brentq(end_pressure, f, f + step, xtol=1e-9))
        f += step
    return found


def resonances():
    """Headers, and a wide short pipe behind a narrow one: a Helmholtz resonator."""
    headers = [
        {"primaries": 4, "L1": 0.75, "A1": 1.2e-3, "L2": 0.5, "A2": 2.2e-3, "c": 580.0},
        {"primaries": 3, "L1": 0.9, "A1": 1.5e-3, "L2": 0.35, "A2": 2.5e-3, "c": 620.0},
        {"primaries": 2, "L1": 0.6, "A1": 1.0e-3, "L2": 1.1, "A2": 1.4e-3, "c": 550.0},
        {"primaries": 1, "L1": 0.12, "A1": 6.0e-3, "L2": 0.15, "A2": 1.0e-3, "c": 500.0},
    ]
    for item in headers:
        item["f_in_phase"] = modes(item, 4 if item["primaries"] > 1 else 1)
        item["f_out_of_phase"] = [item["c"] / (4 * item["L1"]) * m for m in (1, 3)]
    answer = computed("resonances", {"header_modes": headers})
    for theirs, ours in zip(headers, answer["header_modes"], strict=True):
        for a, b in zip(theirs["f_in_phase"], ours["f_in_phase"], strict=True):
            hold(abs(b / a - 1) < 1e-3, f"{theirs['primaries']} primaries: {b} Hz, transfer matrices {a}")
    # The lumped resonator of the textbooks is within 5 % of the last one: c / 2 pi sqrt(A / (V L)).
    last = headers[-1]
    lumped = last["c"] / (2 * np.pi) * np.sqrt(last["A2"] / (last["A1"] * last["L1"] * last["L2"]))
    hold(abs(lumped / answer["header_modes"][-1]["f_in_phase"][0] - 1) < 0.06, f"Helmholtz: {lumped}")


properties()
resonances()
for fault in faults:
    print(fault)
sys.exit(1 if faults else 0)
