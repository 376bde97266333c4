"""A literal saw operator: cuts and joins what the text of the sheets says, and nothing else.

Everything here works on text that `pdftotext -layout` found in a PDF, and on plane geometry. No file of the job is read. An item lies in
its own plane: leg 1 along x up to the first tangent line at x = 0, the arc counter-clockwise about (0, CLR). A face is what the tape marks on the
outside and on the inside line: two points, and the cut through both.
"""

import math
import re
import subprocess
from dataclasses import dataclass, field

import numpy as np

NUMBER = r"-?(?:\d+ \d+/\d+|\d+/\d+|\d+(?:\.\d+)?)"
MARK = r"\d+[A-Z]+"


def length(text, inch):
    """A printed length in mm: `43.4`, or in inches `1.709`, `2 5/8`, `5/8`."""
    text = text.strip()
    sign = -1 if text.startswith("-") else 1
    value = sum(float(a) / float(b) if b else float(a) for a, b in re.findall(r"(\d+(?:\.\d+)?)(?:/(\d+))?", text))
    return sign * value * (25.4 if inch else 1.0)


def pages_of(pdf):
    text = subprocess.run(["pdftotext", "-layout", str(pdf), "-"], capture_output=True, text=True, check=True).stdout
    return text.split("\f")


@dataclass
class Line:
    """A line of the first table of a saw sheet, as it is printed."""

    cut: int
    mark: str
    to: str
    where: str
    figures: list


@dataclass
class Cut:
    number: int
    along: str
    beside: str


@dataclass
class Item:
    """A saw sheet."""

    name: str
    bent: bool
    clr: float
    angle: float
    od: float
    legs: list
    blade: float
    lines: list = field(default_factory=list)
    cuts: list = field(default_factory=list)
    # Marks in the order in which they lie on the item, and whether the flow runs against it.
    order: list = field(default_factory=list)
    against: dict = field(default_factory=dict)
    table: dict = field(default_factory=dict)

    def ends(self):
        return [("leg1", self.legs[0]), ("leg2", self.legs[1])] if self.bent else [("stick", 0.0), ("stick", self.legs[0])]

    def point(self, at, out):
        """The point at an angle or, beyond the arc, a length: ('leg1', mm before T1), ('arc', rad), ('leg2', mm after T2), ('stick', mm)."""
        kind, value = at
        if kind == "stick":
            return np.array([value, -out])
        if kind == "leg1":
            return np.array([-value, -out])
        a = value if kind == "arc" else self.angle
        p = np.array([(self.clr + out) * math.sin(a), self.clr - (self.clr + out) * math.cos(a)])
        return p + (value * np.array([math.cos(self.angle), math.sin(self.angle)]) if kind == "leg2" else 0)


TITLE = re.compile(r"^\s*(?:Saw sheet (\w+)|(Assembly \d+ · .+))", re.MULTILINE)


def sheets(pages):
    """The text of each saw and assembly sheet by its name: several may share a page, and a long one runs over several."""
    saw, runs = {}, {}
    for page in pages:
        titles = list(TITLE.finditer(page))
        for title, end in zip(titles, [t.start() for t in titles[1:]] + [len(page)]):
            home, name = (saw, title.group(1)) if title.group(1) else (runs, title.group(2).strip())
            home[name] = home.get(name, "") + page[title.start() : end]
    return saw, runs


def read_item(name, page, inch):
    """A saw sheet."""
    flat = " ".join(page.split())
    unit = "in" if inch else "mm"
    mm = lambda text: length(text, inch)
    od = mm(re.search(rf"OD ({NUMBER}) {unit}", flat).group(1))
    bend = re.search(rf"bend of ([\d.]+)°, CLR ({NUMBER}) {unit}", flat)
    ends = re.search(rf"T1 is ({NUMBER}) {unit} from the end of leg 1, T2 is ({NUMBER}) {unit}", flat)
    shape = re.search(rf"legs ({NUMBER}) and ({NUMBER}) {unit}", flat)
    legs = [mm(t) for t in (ends or shape).groups()] if bend else [mm(re.search(rf"straight of ({NUMBER}) {unit}", flat).group(1)), 0.0]
    blade = re.search(rf"the blade \(({NUMBER}) {unit}\)", flat)
    item = Item(
        name, bool(bend), mm(bend.group(2)) if bend else 0.0, math.radians(float(bend.group(1))) if bend else 0.0, od, legs,
        mm(blade.group(1)) if blade else 0.0,
    )
    for row in page.split("\n"):
        line = re.match(rf"\s*(\d+)\s+({MARK})\s+(saw|true|as sawn)\s+(.*)", row)
        beside = rf"({MARK}|the offcut|the scrap|the free end)\s+(?:leg [12]|left|right) side\s"
        cut = re.match(rf"\s*(\d+)\s+({MARK})\s+((?:{NUMBER}\s+)*?){beside}", row)
        piece = re.match(rf"\s*({MARK})\s+\S.*\s(towards leg 1|towards leg 2|to the left|to the right)\s*$", row)
        if line:
            figures = re.findall(rf"(?<= )(-|{NUMBER})(?=  |\s*$)", "  " + line.group(4))
            item.lines.append(Line(int(line.group(1)), line.group(2), line.group(3), line.group(4), figures))
        elif cut:
            number, along, figures, beside = cut.groups()
            item.cuts.append(Cut(int(number), along, beside))
            if figures:
                # A stick has its lines beside its cuts: decimals, and in inches the nearest 64th of a tape.
                item.lines.append(Line(int(number), along, "saw", "", re.split(r"\s{2,}", figures.strip())))
        elif piece:
            item.order.append(piece.group(1))
            item.against[piece.group(1)] = piece.group(2) in ("towards leg 1", "to the left")
    return item


def place(item, line, inch, tool):
    """Where a line's marks on the outside and the inside come to lie, measured by a tool: `end`, `tangent` or `angle`."""
    mm = lambda text: length(text, inch)
    if not item.bent:
        return [("stick", mm(line.figures[-1 if tool == "tape" else 0]))] * 2
    figures = line.figures[-4:]
    r = item.od / 2
    before, after = re.search(rf"leg 1, ({NUMBER}) before T1", line.where), re.search(rf"leg 2, ({NUMBER}) after T2", line.where)
    if tool == "end":
        out = []
        for text, radius in zip(figures[2:], (item.clr + r, item.clr - r)):
            along = mm(text)
            if after or "at T2" in line.where:
                out.append(("leg2", item.legs[1] - along))
            elif along <= item.legs[0] + 1e-9 and (before or "at T1" in line.where):
                out.append(("leg1", item.legs[0] - along))
            else:
                out.append(("arc", (along - item.legs[0]) / radius))
        return out
    if before:
        return [("leg1", mm(before.group(1)))] * 2
    if after:
        return [("leg2", mm(after.group(1)))] * 2
    if "at T1" in line.where:
        return [("arc", 0.0)] * 2
    if "at T2" in line.where:
        return [("leg2", 0.0)] * 2
    if tool == "tangent":
        return [("arc", mm(text) / radius) for text, radius in zip(figures[:2], (item.clr + r, item.clr - r))]
    return [("arc", math.radians(float(re.search(r"bend, ([\d.]+)° from T1", line.where).group(1))))] * 2


def face(outside, inside):
    """Middle of a face, its outward line (towards the outside of the bend) and its direction along the item."""
    up = (outside - inside) / np.linalg.norm(outside - inside)
    return (outside + inside) / 2, up, np.array([-up[1], up[0]])


def saw(item, inch, tool):
    """Cuts the item; for each piece its two faces in the order of the item. A face the saw makes on the far side of its blade stays as the
    saw leaves it, unless the sheet says to true it to a line of its own."""
    r = item.od / 2
    marked = {}
    for line in item.lines:
        spots = place(item, line, inch, tool)
        marked[line.cut, line.mark] = (face(item.point(spots[0], r), item.point(spots[1], -r)), line.to)
    made = {mark: [] for mark in item.order}
    for cut in item.cuts:
        middle, up, along = marked[cut.number, cut.along][0]
        made[cut.along].append((middle, up, along))
        if cut.beside in made:
            own, to = marked.get((cut.number, cut.beside), (None, "as sawn"))
            way = 1 if item.order.index(cut.beside) > item.order.index(cut.along) else -1
            made[cut.beside].append(own if to == "true" else (middle + way * item.blade * along, up, along))
    whole = [face(item.point(at, r), item.point(at, -r)) for at in item.ends()]
    return {mark: both_ends(item, mark, faces, whole) for mark, faces in made.items()}


def both_ends(item, mark, faces, whole):
    """The two faces of a piece in the order of the item: those that were cut, and the item's own end where it has one."""
    if len(faces) == 2:
        return sorted(faces, key=lambda f: station(item, f[0]))
    if not faces:
        return whole
    (cut,) = faces
    if len(item.order) == 1:
        # Which side of a single cut is the piece its printed length says.
        here, first, last = (station(item, f[0]) for f in (cut, *whole))
        from_first = abs(here - first - item.table[mark]) < abs(last - here - item.table[mark])
    else:
        from_first = item.order[0] == mark
    return [whole[0], cut] if from_first else [cut, whole[1]]


def station(item, middle):
    """How far along the item a face lies: only to tell which of two comes first."""
    x, y = middle
    if not item.bent:
        return x
    a = math.atan2(x, item.clr - y)
    if -math.pi / 2 < a < 0 or x < 0 and y < item.clr:
        return x
    a %= 2 * math.pi
    if a <= item.angle:
        return item.clr * a
    return item.clr * item.angle + (middle - item.point(("leg2", 0.0), 0)) @ np.array([math.cos(item.angle), math.sin(item.angle)])


@dataclass
class Run:
    """An assembly sheet."""

    name: str
    start: tuple = None
    pieces: list = field(default_factory=list)
    turns: dict = field(default_factory=dict)
    marks: dict = field(default_factory=dict)
    joints: list = field(default_factory=list)
    length: float = 0.0


def read_run(page, inch):
    title = re.search(r"Assembly \d+ · (.+)", page)
    if not title:
        return None
    run = Run(title.group(1).strip())
    mm = lambda text: length(text, inch)
    run.length = mm(re.search(rf"length ({NUMBER}) (?:mm|in)", page).group(1))
    for row in page.split("\n"):
        piece = re.match(rf"\s*({MARK})\s+([bs]\d+)\s+(-|{NUMBER})\s+(-|[\d.]+°)\s+(-|{NUMBER})\s+(-|{NUMBER})\s+({NUMBER})(.*)", row)
        # The name of a joint may stand on two lines, above and below its row.
        joint = re.match(rf"\s*(\d+)\s+(?:(\S.*?)\s+)?({NUMBER})((?:\s+{NUMBER}){{7}})\s+(in line|(?:{MARK}|MERGE 0) at [+-][\d.]+°)\s*$", row)
        if piece:
            mark, _, leg_in, angle, clr, leg_out, total, rest = piece.groups()
            number = lambda t: 0.0 if t == "-" else mm(t)
            turned = 0.0 if angle == "-" else math.radians(float(angle[:-1]))
            run.pieces.append((mark, number(leg_in), turned, number(clr), number(leg_out), mm(total)))
            turn = re.search(rf"(?:([\d.]+)° (clockwise|counter-clockwise)|in line) to ({MARK})", rest)
            if turn:
                sense = {"clockwise": 1, "counter-clockwise": -1, None: 0}[turn.group(2)]
                run.turns[mark] = (sense * math.radians(float(turn.group(1) or 0)), turn.group(3))
        elif joint:
            number, _, along, rest, match = joint.groups()
            run.joints.append((mm(along), [mm(t) for t in re.findall(NUMBER, rest)][3:6]))
            at = re.match(rf"({MARK}) at ([+-][\d.]+)°", match)
            if at:
                run.marks[int(number)] = (at.group(1), math.radians(float(at.group(2))))
    return run


def turned(vector, about, angle):
    c, s = math.cos(angle), math.sin(angle)
    return c * vector + s * np.cross(about, vector) + (1 - c) * (about @ vector) * about


def join(run, pieces):
    """Welds a run together: places and directions of all joints in the frame of its start: out, left, up.

    `pieces`: for each mark its faces upstream and downstream, each as middle, outward line and direction of the flow, in the plane of its
    item. The next bend is turned by what the match mark says, from the outside of the bend before, at the start from up; clockwise seen
    along the flow is the right-hand rule about it.
    """
    # The first piece starts at the flange's outer face, or where else its joint stands.
    at, flow, outside = np.array([run.joints[0][0], 0.0, 0.0]), np.array([1.0, 0.0, 0.0]), np.array([0.0, 0.0, 1.0])
    found = [(at, flow)]
    for k, (mark, *_) in enumerate(run.pieces):
        (first, up, along), (last, last_up, last_along), bent = pieces[mark]
        if bent:
            name, angle = run.marks[k]
            if name != mark:
                raise ValueError(f"joint {k} of {run.name} should turn {mark}, it turns {name}")
            outside = turned(outside, flow, angle)
        flat = lambda v: (v @ along) * flow + (v @ up) * outside
        at = at + flat(last - first)
        new_flow, new_outside = flat(last_along), flat(last_up)
        flow, outside = new_flow / np.linalg.norm(new_flow), new_outside / np.linalg.norm(new_outside)
        found.append((at, flow))
    return found
