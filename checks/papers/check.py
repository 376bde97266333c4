"""Reads the papers back with pypdf and poppler and holds them against the data they were made from.

    python check.py PROGRAM EXAMPLES FOLDER

Prints what is wrong and ends with 1, or ends with 0. FOLDER is replaced.
"""

import json
import math
import re
import shutil
import subprocess
import sys
from pathlib import Path

import ezdxf
import numpy as np
from ezdxf.path import make_path
from pypdf import PdfReader
from scipy import ndimage, optimize, signal

faults = []


def hold(truth, message):
    """Keeps a message for what does not hold."""
    if not truth:
        faults.append(message)


def run(*words):
    return subprocess.run([str(w) for w in words], capture_output=True, text=True, check=False)


def raster(pdf, page, dpi):
    """A page as grey levels, 0 black to 1 white."""
    done = subprocess.run(
        ["pdftoppm", "-gray", "-r", str(dpi), "-f", str(page), "-l", str(page), str(pdf)], capture_output=True, check=True
    ).stdout
    magic, size, depth, rest = done.split(b"\n", 3)
    assert magic == b"P5" and depth == b"255"
    width, height = map(int, size.split())
    return np.frombuffer(rest, np.uint8).reshape(height, width) / 255.0


def fonts_of(page):
    found = {}
    resources = page["/Resources"].get_object()
    for name, font in resources.get("/Font", {}).get_object().items() if "/Font" in resources else []:
        found[name] = font.get_object()
    return found


def embedded(font):
    for part in font.get("/DescendantFonts", [font]):
        descriptor = part.get_object().get("/FontDescriptor")
        if descriptor is None or not any(k in descriptor.get_object() for k in ("/FontFile", "/FontFile2", "/FontFile3")):
            return False
    return True


def stretches(row):
    """Where true begins and ends in a row, as pairs."""
    edges = np.flatnonzero(np.diff(np.concatenate([[0], row.view(np.int8), [0]])))
    return zip(edges[::2], edges[1::2])


def bars(image, dpi):
    """Lengths in mm of solid bars along the foot and up the left side, thicker than any line of a drawing."""
    out = []
    for picture in (image, image.T[:, ::-1]):
        dark = picture < 0.5
        # A bar is 0.9 mm thick: what is left after taking 0.7 mm off is no thin line. Only rows with a bar's worth of ink count.
        thick, least = max(1, int(0.7 / 25.4 * dpi)), 90 / 25.4 * dpi
        lengths = set()
        for first, last in stretches(dark.sum(axis=1) > least):
            core = ndimage.binary_erosion(dark[first:last], np.ones((thick, 1)))
            for row in core:
                lengths |= {round((b - a) / dpi * 25.4, 3) for a, b in stretches(row) if b - a > least}
        out.append(sorted(lengths))
    return out


def check_bars(pdf, page):
    for way, lengths in zip(("along", "up"), bars(raster(pdf, page, 600), 600)):
        for wanted in (100.0, 101.6):
            near = [x for x in lengths if abs(x - wanted) <= 0.1]
            hold(near, f"{pdf.name} page {page}: no bar of {wanted} mm {way}; found {lengths}")


def outline(item):
    """Points every 0.5 mm on the outline of a bend: leg 1 along x up to 0, the arc about (0, CLR)."""
    r, clr, angle = item["od_mm"] / 2, item["clr_mm"], math.radians(item["angle_deg"])
    first, second = item["legs_mm"]
    points = []
    for out in (r, -r):
        points += [(-x, -out) for x in np.arange(0, first, 0.5)]
        step = 0.5 / (clr + out)
        points += [((clr + out) * math.sin(a), clr - (clr + out) * math.cos(a)) for a in np.arange(0, angle, step)]
        for x in np.arange(0, second, 0.5):
            points.append(
                ((clr + out) * math.sin(angle) + x * math.cos(angle), clr - (clr + out) * math.cos(angle) + x * math.sin(angle))
            )
    return np.array(points)


def placed(points, turn, x, y, scale):
    c, s = math.cos(turn), math.sin(turn)
    return np.stack([x + scale * (c * points[:, 0] - s * points[:, 1]), y - scale * (s * points[:, 0] + c * points[:, 1])], 1)


def coarse(points, dark, dpi, turns):
    """Turn of those given and place where most of the outline lies on ink, by correlation at 40 dpi."""
    best = (-1.0, 0.0, 0.0, 0.0)
    shrink = dpi // 40
    h, w = (n // shrink for n in dark.shape)
    small = dark[: h * shrink, : w * shrink].reshape(h, shrink, w, shrink).max(axis=(1, 3)).astype(float)
    for turn in turns:
        flat = placed(points, turn, 0, 0, 40 / 25.4)
        low = flat.min(axis=0)
        cells = np.unique(np.round(flat - low).astype(int), axis=0)
        mask = np.zeros(cells.max(axis=0)[::-1] + 1)
        mask[cells[:, 1], cells[:, 0]] = 1
        if mask.shape[0] > h or mask.shape[1] > w:
            continue
        score = signal.fftconvolve(small, mask[::-1, ::-1], mode="valid") / len(cells)
        at = np.unravel_index(np.argmax(score), score.shape)
        if score[at] > best[0]:
            best = (score[at], turn, (at[1] - low[0]) / 40 * 25.4, (at[0] - low[1]) / 40 * 25.4)
    return best


def check_outline(pdf, page, name, points, turns=tuple(math.radians(5 * k) for k in range(72)), slack=0.0):
    """Holds a line on a page against points on it, wherever it lies there; `slack`: by how many mm its size may be off."""
    dpi = 240
    dark = raster(pdf, page, dpi) < 0.6
    score, turn, x, y = coarse(points, dark, dpi, turns)
    if score < 0.8:
        return hold(False, f"{pdf.name} page {page}: the outline of {name} is not found ({score:.2f})")
    away = ndimage.distance_transform_edt(~dark) * 25.4 / dpi

    def misses(p):
        spots = placed(points, p[0], p[1], p[2], p[3]) * dpi / 25.4 - 0.5
        return np.minimum(ndimage.map_coordinates(away, [spots[:, 1], spots[:, 0]], order=1, mode="nearest"), 1.5)

    near = optimize.least_squares(misses, [turn, x, y, 1.0], loss="soft_l1", f_scale=0.1, diff_step=1e-6, x_scale=[0.01, 1, 1, 0.01])
    # Within the width of its line the outline is found by the ridge of the blurred ink.
    ink = ndimage.gaussian_filter(dark.astype(float), 0.2 / 25.4 * dpi)
    ridge = np.percentile(ink[dark], 50)

    def off(p):
        spots = placed(points, p[0], p[1], p[2], p[3]) * dpi / 25.4 - 0.5
        return 1 - np.minimum(ndimage.map_coordinates(ink, [spots[:, 1], spots[:, 0]], order=1, mode="nearest") / ridge, 1)

    fit = optimize.least_squares(off, near.x, loss="soft_l1", f_scale=0.1, diff_step=1e-5, x_scale=[0.01, 1, 1, 0.01])
    mean = misses(fit.x).mean()
    hold(mean < 0.12, f"{pdf.name} page {page}: {name} is {mean:.3f} mm off in the mean")
    most = max(1e-3, slack / np.ptp(points, axis=0).max())
    hold(abs(fit.x[3] - 1) < most, f"{pdf.name} page {page}: {name} is drawn at {fit.x[3]:.5f} of full size")


# Height of a strip, mm, and from its left end to its 0, degrees.
HEIGHT, LEAD = 30.0, 30.0


def strips(image, dpi):
    """Left end, length and top of every clocking strip, mm: the thin upright lines of one strip's height at its two ends."""
    mm = 25.4 / dpi
    tall = ndimage.binary_erosion(image < 0.5, np.ones((round(28 / mm), 1)))
    lines = []
    for rows, columns in ndimage.find_objects(ndimage.label(tall, np.ones((3, 3)))[0]):
        width, height = (columns.stop - columns.start) * mm, (rows.stop - rows.start) * mm + 28
        # Match marks are thicker, check bars longer.
        if width < 0.42 and abs(height - HEIGHT - 0.3) < 0.3:
            lines.append((rows.start * mm - 14 + 0.15, (columns.start + columns.stop) / 2 * mm))
    out = []
    for top in sorted({round(t, 0) for t, _ in lines}):
        here = [(t, x) for t, x in lines if abs(t - top) < 1]
        left, right = min(x for _, x in here), max(x for _, x in here)
        if right - left > 30:
            out.append((left, right - left, np.mean([t for t, _ in here])))
    return out


def check_strips(pdf, page, ods):
    """Length and degree marks of the strips of a page; how many there are."""
    dpi = 600
    image = raster(pdf, page, dpi)
    found = strips(image, dpi)
    for left, length, top in found:
        wanted = min((math.pi * (od + 0.1) for od in ods), key=lambda w: abs(w - length))
        hold(abs(length - wanted) <= 0.1, f"{pdf.name} page {page}: a strip of {length:.3f} mm, not {wanted:.3f}")
        row = image[round((top + 0.8) * dpi / 25.4)] < 0.5
        edges = np.flatnonzero(np.diff(np.concatenate([[0], row.view(np.int8), [0]]))) * 25.4 / dpi
        middles, widths = (edges[::2] + edges[1::2]) / 2, edges[1::2] - edges[::2]
        clean = middles[widths < 0.3]
        exact = 0
        for degrees in range(0, 360, 5):
            at = left + (degrees + LEAD) % 360 / 360 * wanted
            inked = row[max(0, round((at - 0.1) * dpi / 25.4)) : round((at + 0.1) * dpi / 25.4) + 1].any()
            hold(inked, f"{pdf.name} page {page}: no mark at {degrees} degrees of the strip at {top:.0f} mm")
            exact += bool(len(clean) and np.abs(clean - at).min() < 0.1)
        hold(exact >= 55, f"{pdf.name} page {page}: only {exact} of 72 degree marks stand alone in their place")
    return len(found)


def cut_lines(dxf):
    """Points every 0.5 mm on what a drawing cuts, mm, and its title."""
    document = ezdxf.readfile(dxf)
    scale = 25.4 if document.header["$INSUNITS"] == 1 else 1.0
    points = []
    for entity in document.modelspace().query("LINE CIRCLE ARC POLYLINE"):
        if entity.dxf.layer != "CUT":
            continue
        corners = np.array([[p.x, p.y] for p in make_path(entity).flattening(0.001)]) * scale
        for a, b in zip(corners, corners[1:]):
            steps = max(1, math.ceil(np.linalg.norm(b - a) / 0.5))
            points += [a + (b - a) * k / steps for k in range(steps)]
    return np.array(points)


def check_templates(pdf, said, pages, folder, name):
    """Every flange and template that lies on one page, against the lines of its DXF."""
    ours = [s for s in said["sheets"] if s["kind"] == "templates"]
    checked = 0
    for dxf in sorted((folder / "exports" / "dxf").glob("*.dxf")):
        points = cut_lines(dxf)
        title = next(t.dxf.text for t in ezdxf.readfile(dxf).modelspace().query("TEXT[layer=='TEXT']") if len(t.dxf.text) > 12)
        spread = np.ptp(points, axis=0)
        homes = [s["page"] for s in ours if title[:14] in " ".join(pages[s["page"] - 1].split())]
        if not homes or min(spread) > 150 or max(spread) > 200:
            continue
        scores = {page: coarse(points, raster(pdf, page, 240) < 0.6, 240, (0.0,))[0] for page in set(homes)}
        check_outline(pdf, max(scores, key=scores.get), dxf.stem, points, (0.0,), 0.25)
        checked += 1
    hold(checked >= 2, f"{name}: only {checked} templates lie on one page")


def check_full_size(name, folder, paper, units):
    """Everything at 1:1 of a job that was built, on one size of paper."""
    printed = run(PROGRAM, "sheets", folder, "-o", folder / paper, "--json", "--only", "full-size,clocking,templates",
                  "--paper", paper, "--units", units)
    if printed.returncode != 0:
        return hold(False, f"{name}: papers ended with {printed.returncode}: {printed.stderr[-400:]}")
    said = json.loads(printed.stdout)
    pdf = Path(said["files"][0]["file"]).rename(folder / f"{name}-{paper}-{units}.pdf")
    pages = [p.extract_text() for p in PdfReader(pdf).pages]
    if units == "in":
        for number, text in enumerate(pages, 1):
            strange = [line for line in text.split("\n") if " mm" in line and "100 mm" not in line]
            hold(not strange, f"{pdf.name} page {number} of inches says {strange[:3]}")
    plan = json.loads((folder / "cutplan.json").read_text())
    items = {i["id"]: i for i in plan["items"]}
    count = 0
    for sheet, following in zip(said["sheets"], said["sheets"][1:] + [{"page": len(pages) + 1}]):
        for page in range(sheet["page"], max(following["page"], sheet["page"] + 1)):
            if "Print at 100 %" in pages[page - 1]:
                check_bars(pdf, page)
            else:
                hold(sheet["kind"] == "templates", f"{pdf.name} page {page}: does not say to check the bars")
            if sheet["kind"] == "clocking":
                count += check_strips(pdf, page, {i["od_mm"] for i in plan["items"]})
    written = "".join(pages[s["page"] - 1] for s in said["sheets"] if s["kind"] == "clocking")
    marks = [p["mark"] for p in plan["pieces"] if p.get("clocking")]
    hold(count > 0, f"{pdf.name}: no strips")
    for mark in marks:
        hold(re.search(rf"-{mark}\b", written) or f"{mark}-" in written, f"{pdf.name}: no strip beside {mark}, which the next bend is clocked to")
    bends = [s for s in said["sheets"] if s["kind"] == "full-size"]
    single = [s for s in bends if sum(o["title"] == s["title"] for o in bends) == 1]
    for sheet in single[:2]:
        item = items[sheet["title"].split()[-1]]
        check_outline(pdf, sheet["page"], item["id"], outline(item))
    check_templates(pdf, said, pages, folder, pdf.name)


def pages_of(sheet, sheets, pages):
    """Pages that a sheet runs over: up to the next page on which another of its file begins."""
    later = [s["page"] for s in sheets if s["file"] == sheet["file"] and s["page"] > sheet["page"]]
    end = min(later, default=len(pages[sheet["file"]]) + 1)
    return {(sheet["file"], page) for page in range(sheet["page"], end)}


def check_set(name, folder, words=()):
    """Builds an example and reads its papers."""
    out = folder / name
    built = run(PROGRAM, "build", EXAMPLES / name, "-o", out, "--effort", "0", "--json", "--date", "2025-03-31",
                "--revision", "B7", *words)
    if built.returncode != 0:
        return hold(False, f"{name}: build ended with {built.returncode}: {built.stderr[-400:]}")
    summary = json.loads((out / "summary.json").read_text())
    plan = json.loads((out / "cutplan.json").read_text())
    for file in (EXAMPLES / name).iterdir():
        shutil.copy(file, out)
    printed = run(PROGRAM, "sheets", out, "-o", out / "again", "--json", "--date", "2025-03-31", "--revision", "B7", *words)
    hold(printed.returncode == 0, f"{name}: papers ended with {printed.returncode}: {printed.stderr[-400:]}")
    said = json.loads(printed.stdout)
    hold(said["hash"] == summary["hash"], f"{name}: papers say {said['hash']}, summary.json {summary['hash']}")
    files = {Path(f["file"]).name: f for f in said["files"]}
    hold(sorted(files) == ["papers.pdf", "quote.pdf"], f"{name}: files {sorted(files)}")
    pages, kinds, fonts = {}, {}, []
    for file, told in files.items():
        reader = PdfReader(told["file"])
        fonts += [f for p in reader.pages for f in fonts_of(p).values()]
        pages[file] = [p.extract_text() for p in reader.pages]
        hold(len(pages[file]) == told["pages"], f"{name} {file}: {len(pages[file])} pages, said {told['pages']}")
        for number, text in enumerate(pages[file], 1):
            for wanted in (f"page {number} of {len(pages[file])}", summary["hash"], summary["job"], "B7", "2025-03-31"):
                hold(wanted in text, f"{name} {file} page {number}: lacks `{wanted}`")
    for sheet in said["sheets"]:
        kinds.setdefault(sheet["kind"], set()).update(pages_of(sheet, said["sheets"], pages))
        text = pages[sheet["file"]][sheet["page"] - 1]
        hold(sheet["title"] in text, f"{name} {sheet['file']} page {sheet['page']}: lacks its title {sheet['title']}")
    hold(said["sheets"][0]["kind"] == "cautions", f"{name}: the set begins with {said['sheets'][0]['kind']}")
    hold({s["kind"] for s in said["sheets"] if s["file"] == "quote.pdf"} == {"quote"}, f"{name}: the quote is not apart")
    unembedded = [f["/BaseFont"] for f in fonts if not embedded(f)]
    hold(not unembedded, f"{name}: not embedded: {unembedded}")
    check_words(name, pages, kinds, summary, plan)
    for file in ("flange.toml", "templates.toml"):
        if (EXAMPLES / name / file).is_file():
            shutil.copy(EXAMPLES / name / file, out)


def check_words(name, pages, kinds, summary, plan):
    joined = {kind: "\n".join(pages[file][p - 1] for file, p in sorted(places)) for kind, places in kinds.items()}
    for piece in plan["pieces"]:
        hold(piece["mark"] in joined["saw"], f"{name}: no saw sheet gives {piece['mark']}")
        hold(piece["mark"] in joined["assembly"], f"{name}: no assembly sheet has {piece['mark']}")
    for line in plan["buy"]:
        hold(line["name"] in joined["stock"], f"{name}: the lists lack {line['name']}")
    if "jet" not in name:
        for line in summary["runs"]:
            wanted = f"{line['length_mm']:.1f}"
            hold(wanted in joined["overview"], f"{name}: the overview lacks {wanted} of {line['name']}")
    total = f"{summary['quote']['total']:.2f}"
    hold(total in joined["quote"], f"{name}: the quote lacks {total}")
    for secret in ("margin", "labour", "direct"):
        hold(secret not in joined["quote"].lower(), f"{name}: the quote says {secret}")
    for caution in ("19.5", "local code", "1910.1026"):
        hold(caution in joined["cautions"], f"{name}: the cautions lack {caution}")


def check_names(folder):
    """Names of any script and names that look like markup are printed as they are."""
    source = EXAMPLES / "hill-climb-four" / "job.toml"
    text = source.read_text()
    name = "#let x = 1; $a^2$ <b> שלום 排気管 🔧 [#pagebreak()]"
    lines = [f'name = "{name}"' if line.startswith("name =") and number < 15 else line for number, line in enumerate(text.split("\n"))]
    job = folder / "names"
    job.mkdir()
    (job / "job.toml").write_text("\n".join(lines))
    built = run(PROGRAM, "build", job, "-o", job / "out", "--effort", "0", "--json")
    if built.returncode != 0:
        return hold(False, f"names: build ended with {built.returncode}: {built.stderr[-400:]}")
    pages = [p.extract_text() for p in PdfReader(job / "out" / "papers" / "papers.pdf").pages]
    for wanted in ("#let x = 1; $a^2$ <b>", "排気管", "[#pagebreak()]"):
        hold(all(wanted in p.replace("\n", " ") for p in pages), f"names: `{wanted}` is not on every page")


if __name__ == "__main__":
    PROGRAM, EXAMPLES, WORK = (Path(word) for word in sys.argv[1:4])
    shutil.rmtree(WORK, ignore_errors=True)
    WORK.mkdir(parents=True)
    check_set("hill-climb-four", WORK)
    check_set("jet-boat-bank", WORK, ("--paper", "a3"))
    check_full_size("hill-climb-four", WORK / "hill-climb-four", "a4", "mm")
    check_full_size("hill-climb-four", WORK / "hill-climb-four", "letter", "in")
    check_full_size("jet-boat-bank", WORK / "jet-boat-bank", "a3", "in")
    check_names(WORK)
    print("\n".join(faults))
    sys.exit(1 if faults else 0)
