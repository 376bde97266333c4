"""Solves a heat case with scipy's solve_bvp. Temperatures K inside."""

import numpy as np
from scipy.integrate import solve_bvp

ZERO = 273.15
STEFAN = 5.670374419e-8


def outward(case, wall):
    """Heat off the tube, W/m, and the temperature of its outer face."""
    air, far = case["air_C"] + ZERO, case.get("surroundings_C", case["air_C"]) + ZERO
    wrap, od = case.get("wrap"), case["od_mm"] / 1000
    face_od = wrap["od_mm"] / 1000 if wrap else od
    emissivity = wrap["emissivity"] if wrap else case["emissivity"]
    off = lambda T: np.pi * face_od * (case["outside_W_m2K"] * (T - air) + emissivity * STEFAN * (T**4 - far**4))
    if not wrap:
        return off(wall), wall
    through = 2 * np.pi * wrap["conductivity_W_mK"] / np.log(face_od / od)
    # The face lies where as much comes through the wrap as goes off: by halving.
    low, high = np.full_like(wall, 150.0), np.full_like(wall, 2500.0)
    for _ in range(70):
        middle = (low + high) / 2
        more = through * (wall - middle) > off(middle)
        low, high = np.where(more, middle, low), np.where(more, high, middle)
    return off(low), low


def solve(case):
    """Gas, wall and face in C at the stations, and the heat into the flange in W."""
    od, length = case["od_mm"] / 1000, case["length_mm"] / 1000
    di = od - 2 * case["wall_mm"] / 1000
    area = np.pi / 4 * (od**2 - di**2)
    rows = np.array(case["wall_conductivity_W_mK"], float)
    k = lambda T: np.interp(T - ZERO, rows[:, 0], rows[:, 1])
    cp = lambda T: np.polyval(case["gas_cp_J_kgK_poly_of_K"][::-1], T)
    gas_in, flange = case["gas_in_C"] + ZERO, case["flange_C"] + ZERO

    def slopes(_, y):
        gas, wall, flow = y
        into = case["inside_W_m2K"] * np.pi * di * (gas - wall)
        return np.array([-into / (case["mass_flow_kg_s"] * cp(gas)), flow / (k(wall) * area), outward(case, wall)[0] - into])

    ends = lambda a, b: np.array([a[0] - gas_in, a[1] - flange, b[2]])
    mesh = length * np.linspace(0, 1, 400) ** 2
    start = np.array([np.full(400, gas_in), gas_in - 200 - (gas_in - 200 - flange) * np.exp(-mesh / 0.015), np.zeros(400)])
    found = solve_bvp(slopes, ends, mesh, start, tol=1e-6, max_nodes=50_000)
    assert found.success, found.message
    gas, wall, _ = found.sol(np.array(case["stations_mm"]) / 1000)
    return gas - ZERO, wall - ZERO, outward(case, wall)[1] - ZERO, found.sol(0.0)[2]
