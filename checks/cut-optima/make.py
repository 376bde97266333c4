#!/usr/bin/env python3
"""Least cost of every instance in given/ by one exact mixed-integer model, solved with HiGHS.

Written apart from the Rust code: it reads points and radii, works out arcs and straights by itself
and states the rules of cutting as one model with all items, fragments, legs and fillers at once.

    python3 -m venv .venv && .venv/bin/pip install highspy numpy
    .venv/bin/python checks/cut-optima/make.py            # writes expected.csv
"""
import json
import math
import pathlib
import sys

import highspy
import numpy as np

HERE = pathlib.Path(__file__).parent
SECONDS = 300.0
# Solved with each cut of the saw charged too: HiGHS takes seconds for these and minutes for most others.
SAW = ("small-0-1", "small-100-1", "small-25-1", "small-50-1", "small-elbows-1")
NEAR = 1e-3  # mm: what ends this near to each other is one cut


def elements(run):
    """Arcs (angle, clr, axis) and straights of a run in order, from points and radii."""
    p = [np.array(x) for x in run["points"]]
    u = [(b - a) / np.linalg.norm(b - a) for a, b in zip(p, p[1:])]
    out, used = [], 0.0
    for k in range(1, len(p)):
        leg = np.linalg.norm(p[k] - p[k - 1])
        turn, setback = 0.0, 0.0
        if k < len(p) - 1:
            cross = np.cross(u[k - 1], u[k])
            turn = math.atan2(np.linalg.norm(cross), float(u[k - 1] @ u[k]))
            setback = run["radii"][k - 1] * math.tan(turn / 2)
        straight = leg - used - setback
        if straight > 5e-3:
            out.append(["s", straight])
        if turn > 1e-6:
            axis = cross / np.linalg.norm(cross)
            clr = run["radii"][k - 1]
            last = out[-1] if out else None
            if last and last[0] == "a" and abs(last[2] - clr) < 0.02 and float(last[3] @ axis) > 1 - 1e-6:
                last[1] += turn
            else:
                out.append(["a", turn, clr, axis])
        used = setback
    return out


class Model:
    def __init__(self):
        self.h = highspy.Highs()
        self.h.setOptionValue("output_flag", False)
        self.h.setOptionValue("time_limit", SECONDS)
        self.h.setOptionValue("mip_rel_gap", 0.0)
        self.h.setOptionValue("mip_abs_gap", 1e-4)
        self.n = 0
        self.cost = []

    def var(self, cost=0.0, upper=1.0, integer=True):
        self.h.addVar(0.0, upper)
        self.h.changeColCost(self.n, cost)
        if integer:
            self.h.changeColIntegrality(self.n, highspy.HighsVarType.kInteger)
        self.cost.append(cost)
        self.n += 1
        return self.n - 1

    def row(self, low, terms, high):
        merged = {}
        for v, c in terms:
            merged[v] = merged.get(v, 0.0) + c
        self.h.addRow(low, high, len(merged), np.array(list(merged), dtype=np.int32), np.array(list(merged.values())))


INF = highspy.kHighsInf


def saw_cuts(m, bend, kappa, cut, arcs, room, owners, taken):
    """Charges the saw cuts of one bend besides those of its fillers, which carry theirs.

    `arcs`: variables of its fragments; `room`: their angles and kerfs, deg; `owners`, `taken`: by leg, which fragment holds it,
    and the length used of it with kerfs. One cut between neighbouring fragments and one more where a gap is left; at
    each end one, unless the end fragment begins where the arc does and the leg is used to the last hair.
    """
    any_arc = m.var(-cut)
    for one in arcs:
        m.row(0.0, [(any_arc, 1.0), (one, -1.0)], INF)
        m.h.changeColCost(one, m.cost[one] + cut)
    m.row(0.0, [(one, 1.0) for one in arcs] + [(any_arc, -1.0)], INF)
    near = math.degrees(NEAR / bend["clr"])
    tight = m.var()
    m.row(0.0, room + [(tight, -bend["angle_deg"] - kappa + near)], INF)
    gap = m.var(cut)
    m.row(0.0, [(one, 1.0) for one in arcs] + [(any_arc, -1.0), (gap, -1.0)], INF)
    flush = [m.var(), m.var()]
    m.row(-INF, [(flush[0], 1.0), (flush[1], 1.0), (tight, -1.0), (gap, -1.0)], 1.0)
    for leg in (0, 1):
        if owners[leg]:
            m.row(-INF, owners[leg] + [(flush[leg], -1.0)], 0.0)
        full = m.var()
        m.row(0.0, [(flush[leg], 1.0), (full, -1.0)], INF)
        if bend["legs"][leg] > 0:
            m.row(0.0, taken[leg] + [(full, -bend["legs"][leg] + NEAR)], INF)
        end = m.var(cut)
        for one in arcs:
            m.row(0.0, [(end, 1.0), (full, 1.0), (one, -1.0)], INF)


def solve(given, cut_per):
    """Cost, bound, whether it closed, seconds and arcs. `cut_per`: a cut for each piece, or each cut of the saw."""
    arcs, straights = [], []
    for run in given["runs"]:
        last_arc, waiting = None, None
        for e in elements(run):
            if e[0] == "s":
                straights.append({"length": e[1], "arcs": [last_arc, None]})
                waiting = len(straights) - 1
                if last_arc is not None:
                    arcs[last_arc]["beside"][1] = waiting
            else:
                arcs.append({"angle": math.degrees(e[1]), "clr": e[2], "beside": [waiting, None]})
                last_arc = len(arcs) - 1
                if waiting is not None:
                    straights[waiting]["arcs"][1] = last_arc
                waiting = None
    kerf, least_straight, least_arc = given["kerf"], given["min_straight"], given["min_arc_deg"]
    cut = given["cut"] / 1000.0
    piece = given["joint"] / 1000.0 + cut     # of a filler: the saw cuts each once
    arc = piece if cut_per == "piece" else given["joint"] / 1000.0
    m = Model()
    supply = [[] for _ in straights]     # terms of length for every straight
    sides = {}                           # owners of every side of every arc
    cover = [[] for _ in arcs]
    for bend in given["bends"]:
        radius = bend["clr"] - given["od"] / 2 if given["kerf_at"] == "inside" else bend["clr"]
        kappa = math.degrees(math.asin(kerf / radius))
        mine = [i for i, a in enumerate(arcs) if abs(a["clr"] - bend["clr"]) < 0.02]
        copies = min(bend["count"] if bend["count"] is not None else 99, len(mine) + 1)
        before = None
        for _ in range(copies):
            used = m.var(bend["price"] / 1000.0)
            if before is not None:
                m.row(0.0, [(before, 1.0), (used, -1.0)], INF)
            before = used
            room = []
            owners = [[], []]
            carried = [[], []]
            fillers = [[], []]
            arcs_here = []
            for i in mine:
                theta = arcs[i]["angle"]
                least = min(least_arc, theta)
                here = m.var(arc)
                twice = m.var(arc)
                arcs_here += [here, twice]
                angle = m.var(0.0, theta, False)
                m.row(0.0, [(angle, 1.0), (here, -least), (twice, -least)], INF)
                m.row(-INF, [(angle, 1.0), (here, -theta)], 0.0)
                m.row(-INF, [(twice, 1.0), (here, -1.0)], 0.0)
                cover[i].append((angle, 1.0))
                room += [(angle, 1.0), (here, kappa), (twice, kappa)]
                whole = None
                if abs(theta - bend["angle_deg"]) < 3e-4:
                    whole = m.var()
                    m.row(0.0, [(angle, 1.0), (whole, -theta)], INF)
                holds = []
                for side in (0, 1):
                    if arcs[i]["beside"][side] is None:
                        continue
                    both = []
                    for leg in (0, 1):
                        if bend["legs"][leg] <= 0:
                            continue
                        own = m.var()
                        carry = m.var(0.0, bend["legs"][leg], False)
                        m.row(-INF, [(carry, 1.0), (own, -bend["legs"][leg])], 0.0)
                        owners[leg].append((own, 1.0))
                        carried[leg].append((carry, 1.0))
                        supply[arcs[i]["beside"][side]].append((carry, 1.0))
                        sides.setdefault((i, side), []).append((own, 1.0))
                        holds.append((own, 1.0))
                        both.append((own, 1.0))
                    if both:
                        m.row(-INF, both, 1.0)
                more = [(here, -1.0), (twice, -1.0)] + ([(whole, -1.0)] if whole is not None else [])
                if holds:
                    m.row(-INF, holds + more, 0.0)
            if room:
                m.row(-INF, room + [(used, -bend["angle_deg"] - kappa)], 3e-4)
            for leg in (0, 1):
                length = bend["legs"][leg]
                if length <= 0:
                    continue
                if owners[leg]:
                    m.row(-INF, owners[leg] + [(used, -1.0)], 0.0)
                terms = list(carried[leg])
                if length - kerf >= least_straight:
                    for j, s in enumerate(straights):
                        if s["length"] < least_straight:
                            continue
                        there = m.var(piece)
                        l = m.var(0.0, s["length"], False)
                        m.row(0.0, [(l, 1.0), (there, -least_straight)], INF)
                        m.row(-INF, [(l, 1.0), (there, -min(s["length"], length - kerf))], 0.0)
                        supply[j].append((l, 1.0))
                        terms += [(l, 1.0), (there, kerf)]
                        fillers[leg] += [(l, 1.0), (there, kerf)]
                m.row(-INF, terms + [(used, -length)], 4e-4)
            if cut_per == "saw" and arcs_here:
                saw_cuts(m, bend, kappa, cut, arcs_here, room, owners, [carried[l] + fillers[l] for l in (0, 1)])
    for stick in given["sticks"]:
        copies = min(stick["count"] if stick["count"] is not None else 99, 2)
        before = None
        for _ in range(copies):
            used = m.var(stick["price"] / 1000.0)
            if before is not None:
                m.row(0.0, [(before, 1.0), (used, -1.0)], INF)
            before = used
            terms = []
            for j, s in enumerate(straights):
                if s["length"] < least_straight:
                    continue
                there = m.var(piece)
                l = m.var(0.0, s["length"], False)
                m.row(0.0, [(l, 1.0), (there, -least_straight)], INF)
                m.row(-INF, [(l, 1.0), (there, -min(s["length"], stick["length"]))], 0.0)
                m.row(-INF, [(there, 1.0), (used, -1.0)], 0.0)
                supply[j].append((l, 1.0))
                terms += [(l, 1.0), (there, kerf)]
            m.row(-INF, terms + [(used, -stick["length"] - kerf)], 4e-4)
            if cut_per == "saw":
                to_the_end = m.var(-cut)     # the last piece ends where the stick does
                m.row(0.0, terms + [(to_the_end, -stick["length"] - kerf + NEAR)], INF)
                m.row(0.0, [(used, 1.0), (to_the_end, -1.0)], INF)
    for i, a in enumerate(arcs):
        m.row(a["angle"], cover[i], a["angle"])
    for j, s in enumerate(straights):
        m.row(s["length"], supply[j], s["length"])
    for terms in sides.values():
        m.row(-INF, terms, 1.0)
    m.h.run()
    status = m.h.getModelStatus()
    info = m.h.getInfo()
    cost = info.objective_function_value - given["joint"] / 1000.0 * len(given["runs"])
    bound = info.mip_dual_bound - given["joint"] / 1000.0 * len(given["runs"])
    return cost, bound, status == highspy.HighsModelStatus.kOptimal, m.h.getRunTime(), len(arcs)


def main():
    rows = []
    names = sys.argv[1:]
    for path in sorted((HERE / "given").glob("*.json")):
        if names and not any(n in path.stem for n in names):
            continue
        given = json.loads(path.read_text())
        for cut_per in ("piece", "saw") if path.stem in SAW else ("piece",):
            cost, bound, optimal, seconds, arcs = solve(given, cut_per)
            state = "optimal" if optimal else "not closed"
            print(f"{path.stem:14} {cut_per:5} arcs {arcs:2} cost {cost:9.3f} bound {bound:9.3f} {state} {seconds:7.2f} s", flush=True)
            rows.append(f"{path.stem},{cut_per},{cost:.3f},{bound:.3f},{'yes' if optimal else 'no'},{seconds:.2f}")
    if not names:
        text = "instance,cut_per,cost,bound,optimal,seconds\n" + "\n".join(rows) + "\n"
        (HERE / "expected.csv").write_text(text)


if __name__ == "__main__":
    main()
