"""Meshes of tube bends and of the weld at a cold flange, and what CalculiX makes of them. Units: mm, N, MPa, K."""

import math
import subprocess
from pathlib import Path

import numpy as np

YOUNG, POISSON = 200e3, 0.3
#: Elements around the tube, along a quarter turn of the bend, along each tangent.
AROUND, QUARTER, STRAIGHT = 32, 30, 18


def run(folder: Path, name: str, text: str) -> str:
    """The printed results of an input deck."""
    folder.mkdir(parents=True, exist_ok=True)
    (folder / f"{name}.inp").write_text(text)
    done = subprocess.run(["ccx", name], cwd=folder, capture_output=True, text=True, timeout=600)
    if done.returncode != 0 or "*ERROR" in done.stdout:
        raise RuntimeError(f"ccx {name}: {done.stdout[-800:]}")
    return (folder / f"{name}.dat").read_text()


def rows(text: str, head: str) -> list[list[float]]:
    """Rows of numbers below the first heading that holds `head`."""
    below = text.split(head, 1)[1].splitlines()[1:]
    out: list[list[float]] = []
    for cells in (line.split() for line in below):
        if cells:
            out.append([float(c) for c in cells])
        elif out:
            break
    return out


def centreline(clr: float, angle: float, tangent: float) -> list[tuple[np.ndarray, np.ndarray]]:
    """Stations at elements' ends and middles: centre, and outward normal in the plane (x, y) of the bend; flow along x first."""
    along = list(np.linspace(-tangent, 0, 2 * STRAIGHT + 1)[:-1])
    steps = 2 * max(8, round(QUARTER * angle / (0.5 * math.pi)))
    stations = [(np.array([s, 0, 0]), np.array([0, 1.0, 0])) for s in along]
    for a in np.linspace(0, angle, steps + 1):
        normal = np.array([-math.sin(a), math.cos(a), 0])
        stations.append((np.array([0, clr, 0]) - clr * normal, normal))
    forward = np.array([math.cos(angle), math.sin(angle), 0])
    end, normal = stations[-1]
    stations += [(end + s * forward, normal) for s in np.linspace(0, tangent, 2 * STRAIGHT + 1)[1:]]
    return stations


def bend_deck(od: float, wall: float, clr: float, angle: float, tangent: float) -> str:
    """A bend with tangents, held at its start, its end face rigid with a moment of 1 Nm in and across its plane in two steps."""
    stations = centreline(clr, angle, tangent)
    ids: dict[tuple[int, int, int], int] = {}
    nodes = []

    def node(i: int, j: int, k: int) -> int:
        j %= 2 * AROUND
        if (i, j, k) not in ids:
            ids[i, j, k] = len(ids) + 1
            centre, normal = stations[i]
            turn = math.pi * j / AROUND
            radius = 0.5 * od - wall + 0.5 * wall * k
            at = centre + radius * (math.cos(turn) * normal + math.sin(turn) * np.array([0, 0, 1.0]))
            nodes.append(f"{ids[i, j, k]}, {at[0]:.8f}, {at[1]:.8f}, {at[2]:.8f}")
        return ids[i, j, k]

    elements = []
    for i in range(0, len(stations) - 2, 2):
        for j in range(0, 2 * AROUND, 2):
            low = [(i, j, 0), (i, j + 2, 0), (i + 2, j + 2, 0), (i + 2, j, 0)]
            corners = low + [(a, b, 2) for a, b, _ in low]
            between = [(0, 1), (1, 2), (2, 3), (3, 0), (4, 5), (5, 6), (6, 7), (7, 4), (0, 4), (1, 5), (2, 6), (3, 7)]
            middle = [tuple((p + q) // 2 for p, q in zip(corners[a], corners[b])) for a, b in between]
            numbers = ", ".join(str(node(*c)) for c in corners + middle).split(", ")
            elements.append(f"{len(elements) + 1}, " + ", ".join(numbers[:15]) + ",\n" + ", ".join(numbers[15:]))
    last = len(stations) - 1
    held = [n for (i, _, _), n in ids.items() if i == 0]
    pushed = [n for (i, _, _), n in ids.items() if i == last]
    ref, rot = len(ids) + 1, len(ids) + 2
    end = stations[last][0]
    nodes += [f"{n}, {end[0]:.8f}, {end[1]:.8f}, {end[2]:.8f}" for n in (ref, rot)]
    lines = ["*NODE", *nodes, "*ELEMENT, TYPE=C3D20R, ELSET=ALL", *elements]
    lines += ["*NSET, NSET=HELD", *[f"{n}," for n in held], "*NSET, NSET=PUSHED", *[f"{n}," for n in pushed]]
    lines += ["*MATERIAL, NAME=METAL", "*ELASTIC", f"{YOUNG}, {POISSON}", "*SOLID SECTION, ELSET=ALL, MATERIAL=METAL"]
    lines += [f"*RIGID BODY, NSET=PUSHED, REF NODE={ref}, ROT NODE={rot}", "*BOUNDARY", "HELD, 1, 3", f"*NSET, NSET=TURN\n{rot},"]
    normal = stations[last][1]
    for moment in ([0, 0, 1000.0], 1000.0 * normal):
        lines += ["*STEP", "*STATIC", "*CLOAD, OP=NEW"]
        lines += [f"{rot}, {axis + 1}, {m:.8f}" for axis, m in enumerate(moment) if abs(m) > 1e-9]
        lines += ["*NODE PRINT, NSET=TURN", "U", "*END STEP"]
    return "\n".join(lines) + "\n"


def bend(folder: Path, name: str, od: float, wall: float, clr: float, degrees: float) -> tuple[float, float]:
    """Flexibility of a bend in its plane and across it, over that of a straight as long as its arc."""
    angle, tangent = math.radians(degrees), 4.0 * od
    text = run(folder, name, bend_deck(od, wall, clr, angle, tangent))
    turns = [np.array(rows(" displacements" + block, " displacements")[0][1:]) for block in text.split(" displacements")[1:]]
    outer, inner = 0.5 * od, 0.5 * od - wall
    bending = YOUNG * 0.25 * math.pi * (outer**4 - inner**4)
    normal = centreline(clr, angle, tangent)[-1][1]
    straight_in = 2.0 * tangent
    k_in = (turns[0][2] * bending / 1000.0 - straight_in) / (clr * angle)
    # The same moment bends and twists what lies before it: cos and sin of the angle to it; GJ = EI / (1 + nu).
    soft = 1.0 + POISSON
    straights = tangent + tangent * (math.cos(angle) ** 2 + soft * math.sin(angle) ** 2)
    twisted = clr * soft * (0.5 * angle - 0.25 * math.sin(2 * angle))
    bent = clr * (0.5 * angle + 0.25 * math.sin(2 * angle))
    k_out = (float(turns[1] @ normal) * bending / 1000.0 - straights - twisted) / bent
    return k_in, k_out


#: Elements through the wall and along the first 40 mm beside the flange.
THROUGH, BESIDE = 6, 160
GROWTH, HOT_YOUNG = 18e-6, 165e3


def weld(folder: Path, name: str, od: float, wall: float, hotter: float, over: float) -> float:
    """Bending stress of the wall at a rigid flange, MPa, where its temperature rises by hotter (1 - exp(-x / over))."""
    inner, step = 0.5 * od - wall, 40.0 / BESIDE
    nodes, temperatures = [], []
    ids: dict[tuple[int, int], int] = {}

    def node(i: int, j: int) -> int:
        if (i, j) not in ids:
            ids[i, j] = len(ids) + 1
            x = 0.5 * step * i
            nodes.append(f"{ids[i, j]}, {inner + 0.5 * wall / THROUGH * j:.8f}, {x:.8f}, 0")
            temperatures.append(f"{ids[i, j]}, {hotter * (1 - math.exp(-x / over)):.8f}")
        return ids[i, j]

    elements = []
    for i in range(0, 2 * BESIDE, 2):
        for j in range(0, 2 * THROUGH, 2):
            corners = [(i, j), (i, j + 2), (i + 2, j + 2), (i + 2, j)]
            middle = [(i, j + 1), (i + 1, j + 2), (i + 2, j + 1), (i + 1, j)]
            elements.append(f"{len(elements) + 1}, " + ", ".join(str(node(*c)) for c in corners + middle))
    held = [n for (i, _), n in ids.items() if i == 0]
    near = 12
    lines = ["*NODE, NSET=ALLNODES", *nodes, "*ELEMENT, TYPE=CAX8R, ELSET=ALL", *elements]
    lines += ["*NSET, NSET=HELD", *[f"{n}," for n in held], "*ELSET, ELSET=NEAR, GENERATE", f"1, {near * THROUGH}, 1"]
    lines += ["*MATERIAL, NAME=METAL", "*ELASTIC", f"{HOT_YOUNG}, {POISSON}", "*EXPANSION, ZERO=0", f"{GROWTH}"]
    lines += ["*SOLID SECTION, ELSET=ALL, MATERIAL=METAL", "*BOUNDARY", "HELD, 1, 2"]
    lines += ["*INITIAL CONDITIONS, TYPE=TEMPERATURE", "ALLNODES, 0", "*STEP", "*STATIC", "*TEMPERATURE", *temperatures]
    lines += ["*EL PRINT, ELSET=NEAR, GLOBAL=YES", "S", "*END STEP"]
    text = run(folder, name, "\n".join(lines) + "\n")
    printed = [r for r in rows(text, "stresses (elem") if len(r) == 8]
    # Stress along the tube at the integration points: those of a column, above and below its middle.
    column: dict[int, list[tuple[float, float]]] = {}
    for element, number, _, along, *_ in printed:
        # 2 x 2 points in each: the first two lie lower along the tube, the odd ones on the inside of the wall.
        row, place = divmod(int(element) - 1, THROUGH)
        z = (place + 0.5 + (-0.5 if int(number) % 2 else 0.5) / math.sqrt(3)) / THROUGH - 0.5
        column.setdefault(2 * row + (0 if number < 3 else 1), []).append((z, along))
    at, bending = [], []
    for index, points in sorted(column.items()):
        z, stress = np.array(points).T
        slope = float((z @ (stress - stress.mean())) / (z @ z))
        at.append((index // 2 + 0.5 + 0.5 * (-1 if index % 2 == 0 else 1) / math.sqrt(3)) * step)
        bending.append(abs(0.5 * slope))
    # The corner itself is sharp: from half a wall to two walls on, and back to the weld by a parabola.
    use = [(x, s) for x, s in zip(at, bending) if 0.4 * wall <= x <= 2.0 * wall]
    x, s = np.array(use).T
    return float(np.polyfit(x, s, 2)[2])
