"""Jobs that are hard to write down: names of every kind, straight runs, runs in one piece, many pieces."""

import math

NAMES = [
    "مجمع عادم #1 <b>$x$</b>",
    "排気管 🔥 'quoted' \\back\\ %%d ^J & \"double\"",
    "=1+1;a,b|c/../../d:*?",
    "שלום \u202eabc " + "n" * 44,
]

JOB = """format = 1
name = {name}
units = "{units}"
[tube]
od = "44.45 mm"
wall = "1.65 mm"
material = "304"
[[stock.bend]]
clr = "76.2 mm"
angle = 180.0
legs = ["101.6 mm", "101.6 mm"]
price = 24.0
[[stock.straight]]
length = "1000 mm"
price = 18.0
[saw]
kerf = "1.6 mm"
min_straight = "12 mm"
min_arc = 5.0
[cost]
joint = 14.0
cut = 2.5
"""


def toml_text(text):
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'


def tube(job, kind):
    """Outside diameter and wall of the tube of a kind of run, mm; the sizes that examples and these jobs use."""
    table = job.get(kind, {}).get("tube", job["tube"]) if kind != "primary" else job["tube"]
    sizes = {"1 1/2 NPS sch 10S": (48.3, 2.77), "1 1/2 NPS sch 10": (48.3, 2.77)}
    if "size" in table:
        if table["size"] in sizes:
            return sizes[table["size"]]
        od, wall = table["size"].split(" x ")
        return length(od, job), length(wall, job)
    return length(table["od"], job), length(table["wall"], job)


def length(value, job):
    scale = 25.4 if job.get("units") == "in" else 1.0
    if not isinstance(value, str):
        return value * scale
    if value.endswith(" ga"):
        return {"16": 1.651, "18": 1.2446, "14": 2.1082}[value[:-3]]
    number, unit = value.rsplit(" ", 1)
    parts = number.replace("-", " ").split()
    total = sum(float(p.split("/")[0]) / float(p.split("/")[1]) if "/" in p else float(p) for p in parts)
    return total * {"mm": 1.0, "in": 25.4}[unit]


def route(cylinder, points, radii):
    rows = ", ".join(f"[{', '.join(repr(float(v)) for v in p)}]" for p in points)
    return f"[[primary]]\ncylinder = {cylinder}\npoints = [{rows}]\nradii = [{', '.join(repr(float(r)) for r in radii)}]\n"


def zigzag(bends, scale, turn=50.0):
    """A run of many bends in changing planes, two of them touching without a straight between."""
    clr, t = 76.2, 76.2 * math.tan(math.radians(turn / 2))
    points, at, way, up = [[0.0, 0.0, 0.0]], [0.0, 0.0, 0.0], [1.0, 0.0, 0.0], [0.0, 0.0, 1.0]
    for i in range(bends + 1):
        step = 2 * t + (0.0 if i == 2 else 40.0)
        at = [a + w * step for a, w in zip(at, way)]
        points.append(at)
        c, s = math.cos(math.radians(turn)), math.sin(math.radians(turn))
        side = [way[1] * up[2] - way[2] * up[1], way[2] * up[0] - way[0] * up[2], way[0] * up[1] - way[1] * up[0]]
        bend = up if i % 2 else side
        new = [w * c + b * s for w, b in zip(way, bend)]
        up = [u * c - w * s for u, w in zip(up, way)] if i % 2 else up
        way = new
    return [[v / scale for v in p] for p in points], [clr / scale] * bends


def write(folder):
    for i, name in enumerate(NAMES):
        place = folder / f"nasty-{i + 1}"
        place.mkdir(parents=True)
        units, scale = ("in", 25.4) if i % 2 else ("mm", 1.0)
        (place / "job.toml").write_text(JOB.format(name=toml_text(name), units=units), encoding="utf-8")
        text = f'format = 1\nunits = "{units}"\n'
        # A straight run, a run in one piece, and runs of many bends; the last job has some 60 pieces.
        text += route(1, [[0, 300 / scale, 0], [250 / scale, 300 / scale, 0]], [])
        text += route(2, [[0, 600 / scale, 0], [150 / scale, 600 / scale, 0], [150 / scale, 750 / scale, 0]], [76.2 / scale])
        many = 12 if i == 3 else 4
        for cylinder in range(3, 7 if i == 3 else 4):
            points, radii = zigzag(many, scale, 30.0 + 5 * cylinder)
            points = [[x, y - 400 * cylinder / scale, z] for x, y, z in points]
            text += route(cylinder, points, radii)
        (place / "routes.toml").write_text(text, encoding="utf-8")
        yield place
