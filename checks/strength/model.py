"""A frame case chopped into short straight pieces: a model that any frame solver takes. Lengths m, forces N, temperatures C."""

from dataclasses import dataclass, field

import numpy as np

STRAIGHT = 0.005  # longest piece of a straight, m
SAME = 1e-7  # places nearer than this are one, m
TURN = np.radians(1.5)  # largest turn of a piece of a bend


@dataclass
class Piece:
    """A straight beam from node i to node j, softer than EI by k[0] about `normal` and by k[1] across it."""

    i: int
    j: int
    E: float
    G: float
    A: float
    shear_area: float
    I: float
    k: tuple
    normal: object  # of the plane of the bend; None in a straight
    growth: float
    density: float


@dataclass
class Model:
    nodes: list = field(default_factory=list)
    pieces: list = field(default_factory=list)
    fixed: dict = field(default_factory=dict)  # node: its six movements
    arms: list = field(default_factory=list)  # (from, to, growth): rigid
    slips: list = field(default_factory=list)  # (from, to, tangent)
    springs: list = field(default_factory=list)  # (node, six)
    masses: list = field(default_factory=list)  # (node, six)
    loads: list = field(default_factory=list)  # (node, six)
    bodies: dict = field(default_factory=dict)  # name: node
    starts: dict = field(default_factory=dict)  # name of the reaction: node
    modes: int = 0

    def node(self, place):
        self.nodes.append(np.array(place, float))
        return len(self.nodes) - 1


def table(rows, x):
    rows = np.array(rows, float)
    return np.interp(x, rows[:, 0], rows[:, 1])


def six(values):
    return np.array(list(values) + [0.0] * (6 - len(values)), float)


def centreline(points, radii):
    """Stretches of a line through points with a radius at each inner one: (length, turn, place(s), tangent(s), normal of the bend)."""
    points = [np.array(p, float) / 1000 for p in points]
    stretches, at = [], points[0]

    def straight(a, b):
        length = np.linalg.norm(b - a)
        if length > 1e-9:
            t = (b - a) / length
            stretches.append((length, 0.0, lambda s: a + s * t, lambda s: t, None))

    def arc(a, t, n, r, turn):
        stretches.append((r * turn, turn, lambda s: a + r * (np.sin(s / r) * t + (1 - np.cos(s / r)) * n),
                          lambda s: np.cos(s / r) * t + np.sin(s / r) * n, np.cross(t, n)))

    for before, corner, after, r in zip(points, points[1:], points[2:], np.array(radii) / 1000):
        t, u = (corner - before) / np.linalg.norm(corner - before), (after - corner) / np.linalg.norm(after - corner)
        turn = np.arccos(np.clip(t @ u, -1, 1))
        n = (u - (u @ t) * t) / np.sin(turn)
        back = r * np.tan(turn / 2)
        straight(at, corner - back * t)
        arc(corner - back * t, t, n, r, turn)
        at = corner + back * u
    straight(at, points[-1])
    return stretches


def model(case):
    out, material, bodies = Model(modes=case.get("modes", 0)), case["material"], {}
    free = lambda T: table(material["mean_alpha_1e-6"], T) * 1e-6 * (T - material["reference_C"])
    for body in case.get("bodies", []):
        node = out.node(np.array(body["at_mm"]) / 1000)
        out.bodies[body["name"]] = node
        bodies[body["name"]] = free(body.get("temperature_C", material["reference_C"]))
        if body.get("fixed"):
            out.fixed[node] = np.zeros(6)
        out.springs.append((node, six(body.get("spring_N_per_m", []))))
        out.loads.append((node, six(body.get("load_N_Nm", []))))
        m, offset = body.get("mass_kg", 0.0), np.array(body.get("mass_offset_mm", [0, 0, 0])) / 1000
        centre = node
        if np.linalg.norm(offset) > 0:
            centre = out.node(out.nodes[node] + offset)
            out.arms.append((node, centre, 0.0))
        out.masses.append((centre, np.array([m, m, m, *body.get("inertia_kg_m2", [0, 0, 0])])))
    for tube in case["tubes"]:
        add_tube(out, case, tube, free, bodies)
    return out


def add_tube(out, case, tube, free, bodies):
    fittings = [(f["at_mm"] / 1000, key, f) for key in ("slip_joints", "brackets", "point_masses", "loads")
                for f in case.get(key, []) if f["tube"] == tube["name"]]
    stretches = centreline(tube["points_mm"], tube["radii_mm"])
    first = near = out.node(stretches[0][2](0))
    begin = 0.0
    for length, turn, place, tangent, normal in stretches:
        # A piece ends where the temperature has a corner, too.
        places = [at for at, _, _ in fittings] + [s / 1000 for s, _ in tube["temperature_C"]]
        cuts = [0.0, *sorted(s - begin for s in places if SAME < s - begin < length - SAME), length]
        cuts = [b for a, b in zip([-1.0, *cuts], cuts) if b - a > SAME]
        for a, b in zip(cuts, cuts[1:]):
            count = int(np.ceil((b - a) * turn / length / TURN if turn else (b - a) / STRAIGHT))
            stations = np.linspace(a, b, count + 1)
            for s0, s1 in zip(stations, stations[1:]):
                far = out.node(place(s1))
                bend = (length / turn, turn, normal) if turn else None
                out.pieces.append(piece(near, far, case, tube, free, bend, begin + s0, begin + s1))
                near = far
            for at, key, fitting in fittings:
                if abs(at - begin - b) <= SAME:
                    near = fit(out, near, key, fitting, tangent(b))
        begin += length
    for node, end, key in ((first, tube["start"], tube["name"]), (near, tube["end"], tube["name"] + " end")):
        if end.get("fixed"):
            out.fixed[node] = six(end.get("move_mm", [])) / 1000
            out.starts[key] = node
        elif "body" in end:
            out.arms.append((out.bodies[end["body"]], node, bodies[end["body"]]))


def fit(out, node, key, fitting, tangent):
    if key == "slip_joints":
        beyond = out.node(out.nodes[node])
        out.slips.append((node, beyond, tangent))
        return beyond
    if key == "brackets":
        out.springs.append((node, six(fitting["spring_N_per_m"])))
    elif key == "point_masses":
        out.masses.append((node, six([fitting["mass_kg"]] * 3)))
    else:
        out.loads.append((node, six(fitting["load_N_Nm"])))
    return node


def piece(i, j, case, tube, free, bend, s0, s1):
    material = case["material"]
    temperature = [table(tube["temperature_C"], 1000 * s) for s in (s0, (s0 + s1) / 2, s1)]
    mean = lambda f: (f(temperature[0]) + 4 * f(temperature[1]) + f(temperature[2])) / 6
    E = 1e9 / mean(lambda T: 1 / table(material["E_GPa"], T))
    nu, ro = material["poisson"], tube["od_mm"] / 2000
    wall = tube["wall_mm"] / 1000
    ri = ro - wall
    m2, area = (ri / ro) ** 2, np.pi * (ro**2 - ri**2)
    cowper = 6 * (1 + nu) * (1 + m2) ** 2 / ((7 + 6 * nu) * (1 + m2) ** 2 + (20 + 12 * nu) * m2)
    k, normal = (1.0, 1.0), None
    if bend:
        clr, turn, normal = bend
        k = softness(case["bend_flexibility"], 1.65 * ((ro + ri) / 2) ** 2 / (wall * clr), turn)
    return Piece(i, j, E, E / 2 / (1 + nu), area, area * cowper, np.pi / 4 * (ro**4 - ri**4), k, normal, mean(free),
                 material["density_kg_m3"])


def softness(rule, code, turn):
    """k in the plane of a bend and across it."""
    ends = 0.21 * (1 - np.exp(-turn / 0.15)) / turn
    k = {"1.65/h": (code, code), "1": (1, 1), "fitted": (code * (1 - ends), code * (1 - ends - 0.12 * np.sin(turn / 2) ** 2))}
    return tuple(max(1.0, x) for x in k[rule])
