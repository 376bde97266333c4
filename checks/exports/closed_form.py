"""Length, volume and box of a tube from its intersection points and radii, apart from the program's own geometry."""

import math

import numpy as np


def legs(points, radii):
    """Straights (start, direction, length) and arcs (centre, start vector, tangent, radius, angle)."""
    points = [np.array(p, float) for p in points]
    out, at, used = [], points[0], 0.0
    for i in range(1, len(points)):
        leg = points[i] - points[i - 1]
        way = leg / np.linalg.norm(leg)
        back = 0.0
        if i + 1 < len(points):
            nxt = points[i + 1] - points[i]
            nxt = nxt / np.linalg.norm(nxt)
            turn = math.atan2(np.linalg.norm(np.cross(way, nxt)), float(way @ nxt))
            back = radii[i - 1] * math.tan(turn / 2) if turn > 1e-6 else 0.0
        straight = np.linalg.norm(leg) - used - back
        if straight > 1e-5:
            out.append(("straight", at, way, straight))
        at = points[i] - way * back
        if back > 0.0:
            inward = nxt - way * float(way @ nxt)
            inward = inward / np.linalg.norm(inward)
            out.append(("arc", at + inward * radii[i - 1], -inward, way, radii[i - 1], turn))
            at = points[i] + nxt * back
        used = back
    return out


def length(parts):
    return sum(p[3] if p[0] == "straight" else p[4] * p[5] for p in parts)


def stretch(parts, begin, end):
    """The part of a tube between two lengths along it."""
    out, at = [], 0.0
    for p in parts:
        whole = p[3] if p[0] == "straight" else p[4] * p[5]
        a, b = max(begin - at, 0.0), min(end - at, whole)
        at += whole
        if b - a <= 1e-5:
            continue
        if p[0] == "straight":
            out.append(("straight", p[1] + p[2] * a, p[2], b - a))
        else:
            _, centre, x, y, radius, _ = p
            t = a / radius
            out.append(("arc", centre, x * math.cos(t) + y * math.sin(t), y * math.cos(t) - x * math.sin(t), radius, (b - a) / radius))
    return without_slivers(out)


SLIVER = 2e-3  # mm; cuts stand on whole thousandths, a hair beyond the end of a bend is no face of its own


def without_slivers(parts):
    """Ends shorter than SLIVER go to their neighbour, straight on or round its bend."""
    parts = list(parts)
    if len(parts) > 1 and length(parts[-1:]) < SLIVER:
        over = length([parts.pop()])
        p = parts[-1]
        parts[-1] = (*p[:3], p[3] + over) if p[0] == "straight" else (*p[:5], p[5] + over / p[4])
    if len(parts) > 1 and length(parts[:1]) < SLIVER:
        over = length([parts.pop(0)])
        p = parts[0]
        if p[0] == "straight":
            parts[0] = ("straight", p[1] - p[2] * over, p[2], p[3] + over)
        else:
            _, centre, x, y, radius, angle = p
            t = -over / radius
            turned = (x * math.cos(t) + y * math.sin(t), y * math.cos(t) - x * math.sin(t))
            parts[0] = ("arc", centre, *turned, radius, angle - t)
    return parts


def box(parts, r):
    """The box of the tube's outside: along a direction e a disc across t reaches r sqrt(1 - (t.e)^2) from its middle."""
    low, high = np.full(3, np.inf), np.full(3, -np.inf)
    for axis in range(3):
        for sign in (1.0, -1.0):
            most = -np.inf
            for p in parts:
                if p[0] == "straight":
                    _, start, way, whole = p
                    reach = r * math.sqrt(max(0.0, 1.0 - way[axis] ** 2))
                    most = max(most, max(sign * start[axis], sign * (start + way * whole)[axis]) + reach)
                else:
                    most = max(most, arc_reach(p, r, axis, sign))
            if sign > 0:
                high[axis] = most
            else:
                low[axis] = -most
    return low, high


def arc_reach(arc, r, axis, sign):
    _, centre, x, y, radius, angle = arc

    def reach(t):
        way = y[axis] * np.cos(t) - x[axis] * np.sin(t)
        return sign * (centre[axis] + radius * (x[axis] * np.cos(t) + y[axis] * np.sin(t))) + r * np.sqrt(np.maximum(0.0, 1.0 - way**2))

    t = np.linspace(0.0, angle, 2001)
    for _ in range(6):
        best = int(np.argmax(reach(t)))
        t = np.linspace(t[max(best - 1, 0)], t[min(best + 1, len(t) - 1)], 201)
    return float(np.max(reach(t)))
