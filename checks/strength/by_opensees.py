"""Solves a chopped model with OpenSees: arms and slip joints are stiff elements, growth is a pair of nodal loads. A nodal
mass of OpenSees has no terms off the diagonal, so the rotary inertia of the sections is left out on both sides.

`python by_opensees.py` prints how far OpenSees and chords.py are apart; needs `openseespy` and Debian's libblas3, liblapack3.
"""

import json
import pathlib

import numpy as np
import openseespy.opensees as ops

import chords
from model import model as chop

ARM = 1e12, 1e10  # EA in N and EI in Nm2 of an arm
SLIP = 1e12, 1e9  # across, N/m and Nm/rad


def build(model, with_mass):
    ops.wipe()
    ops.model("basic", "-ndm", 3, "-ndf", 6)
    for n, place in enumerate(model.nodes):
        ops.node(n, *place)
    for n, moved in model.fixed.items():
        if not np.any(moved) or with_mass:
            ops.fix(n, *[1] * 6)
    masses, loads = np.zeros((len(model.nodes), 6)), np.zeros((len(model.nodes), 6))

    def beam(i, j, E, G, A, J, Iy, Iz, shear, growth, normal=None):
        R = chords.axes(model.nodes[j] - model.nodes[i], normal)
        tag = len(ops.getEleTags()) + 1
        ops.geomTransf("Linear", tag, *R[2])
        ops.element("ElasticTimoshenkoBeam", tag, i, j, E, G, A, J, Iy, Iz, shear, shear, tag)
        loads[i, :3] -= E * A * growth * R[0]
        loads[j, :3] += E * A * growth * R[0]

    for p in model.pieces:
        beam(p.i, p.j, p.E, p.G, p.A, 2 * p.I, p.I / p.k[1], p.I / p.k[0], p.shear_area, p.growth, p.normal)
        for n in (p.i, p.j):
            masses[n, :3] += p.density * p.A * np.linalg.norm(model.nodes[p.j] - model.nodes[p.i]) / 2
    for a, b, growth in model.arms:
        if np.linalg.norm(model.nodes[b] - model.nodes[a]) < 1e-9:
            ops.equalDOF(a, b, 1, 2, 3, 4, 5, 6)
        else:
            beam(a, b, 1e12, 1e12, ARM[0] / 1e12, *[ARM[1] / 1e12] * 3, 1.0, growth)
    materials = 0
    for a, b, tangent in model.slips:
        R = chords.axes(tangent)
        for stiff in SLIP:
            materials += 1
            ops.uniaxialMaterial("Elastic", materials, stiff)
        tags = [materials - 1, materials - 1, materials, materials]
        ops.element("zeroLength", len(ops.getEleTags()) + 1, a, b, "-mat", *tags, "-dir", 2, 3, 5, 6,
                    "-orient", *R[0], *R[1])
    for n, spring in model.springs:
        for direction, stiff in enumerate(spring, 1):
            if stiff:
                materials += 1
                ground = 1_000_000 + materials
                ops.node(ground, *model.nodes[n])
                ops.fix(ground, *[1] * 6)
                ops.uniaxialMaterial("Elastic", materials, stiff)
                ops.element("zeroLength", len(ops.getEleTags()) + 1, ground, n, "-mat", materials, "-dir", direction)
    for n, mass in model.masses:
        masses[n] += mass
    for n, load in model.loads:
        loads[n] += load
    for n, mass in enumerate(masses):
        if with_mass and mass.any():
            ops.mass(n, *mass)
    return loads


def analysis():
    ops.constraints("Transformation")
    ops.numberer("RCM")
    ops.system("UmfPack")


def solve(model):
    loads = build(model, False)
    ops.timeSeries("Constant", 1)
    ops.pattern("Plain", 1, 1)
    for n, moved in model.fixed.items():
        if np.any(moved):
            for direction, value in enumerate(moved, 1):
                ops.sp(n, direction, value)
    for n, load in enumerate(loads):
        if load.any():
            ops.load(n, *load)
    analysis()
    ops.algorithm("Linear")
    ops.integrator("LoadControl", 1.0)
    ops.analysis("Static", "-noWarnings")
    assert ops.analyze(1) == 0
    ops.reactions()
    u = np.array([ops.nodeDisp(n) for n in range(len(model.nodes))])
    forces = {n: np.array(ops.nodeReaction(n)) for n in model.fixed}
    build(model, True)
    analysis()
    values = np.array(ops.eigen(model.modes)) if model.modes else np.array([])
    return u, forces, np.sqrt(values) / (2 * np.pi)


def main():
    worst = {}
    for file in sorted(pathlib.Path(__file__).with_name("cases").glob("*.json")):
        case = json.loads(file.read_text())
        if "tubes" not in case:
            continue
        model = chop(case)
        (u, f, hz), (v, g, other) = chords.solve(model, rotary=False), solve(model)

        def apart(a, b):
            return 100 * np.linalg.norm(a - b) / np.linalg.norm(a) if np.linalg.norm(a) else 0.0

        bodies = model.bodies.values()
        figures = {
            "displacement": max([apart(u[n, :3], v[n, :3]) for n in bodies], default=0),
            "turn": max([apart(u[n, 3:], v[n, 3:]) for n in bodies], default=0),
            "force": max(apart(f[n][:3], g[n][:3]) for n in model.starts.values()),
            "moment": max(apart(f[n][3:], g[n][3:]) for n in model.starts.values()),
            "frequency": max(100 * np.abs(hz / other - 1), default=0),
        }
        print(file.stem, {k: f"{x:.4f} %" for k, x in figures.items()})
        worst = {k: max(x, worst.get(k, 0)) for k, x in figures.items()}
    print("worst", {k: f"{x:.4f} %" for k, x in worst.items()})


if __name__ == "__main__":
    main()
