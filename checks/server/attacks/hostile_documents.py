"""Small documents made to tie up the shop: each is refused or kept as text in moments, with an error that says its
place, and every other job goes on as before."""

import json
import sqlite3
import time

from harness import SMALL_JOB, events

# Seconds that one call with a hostile document may take.
LONGEST = 5

HEAD = 'format = 1\nunits = "mm"\n'


class Job:
    """A job whose documents are written over one another."""

    def __init__(self, server):
        self.server = server
        job = server.job(SMALL_JOB)
        self.path = f"/api/jobs/{job['id']}"
        for call, wish in [("searches", {"effort": 0}), ("cut", {})]:
            wish["version"] = server.done("GET", self.path)["version"]
            answer = server.call("POST", f"{self.path}/{call}", wish)
            name, data = events(answer.body)[-1]
            assert name == "done", data

    def text(self, name):
        return self.server.done("GET", f"{self.path}/documents/{name}")["text"]

    def put(self, name, text):
        """The answer to writing a document, and the seconds it took."""
        version = self.server.done("GET", self.path)["version"]
        begun = time.perf_counter()
        body = {"version": version, "label": "hostile", "text": text}
        answer = self.server.call("PUT", f"{self.path}/documents/{name}", body)
        return answer, time.perf_counter() - begun


def points_of(bends):
    """A run of so many bends that is a tube."""
    return ", ".join(f"[{60.0 * i}, {40.0 * (i % 2)}, 0.0]" for i in range(bends + 2))


def radii_of(bends):
    return ", ".join(["20.0"] * bends)


def documents(job):
    """Names and texts, and what of the answer shows that they were seen for what they are."""
    plan = json.loads(job.text("cutplan.json"))
    for place, key in [("items", "legs_mm"), ("pieces", "leg_in_mm"), ("pieces", "to"), ("items", "clr_mm")]:
        hostile = json.loads(json.dumps(plan))
        value = 4294967296
        hostile[place][0][key] = [value, value] if key == "legs_mm" else value
        yield "cutplan.json", json.dumps(hostile), "lies between"
    for key in ["items", "pieces"]:
        many = {**plan, key: (plan[key] * 2001)[:2001]}
        yield "cutplan.json", json.dumps(many, separators=(",", ":")), "at most"
    yield "cutplan.json", "[" * 1_500_000, "brackets"
    for count in [10_000, 40_000, 120_000]:
        yield "job.toml", SMALL_JOB + "[[keepout]]\n" * count, "at most"
    inline = SMALL_JOB.replace("[tube]", f"keepout = [{'{},' * 500_000}]\n[tube]")
    yield "job.toml", inline, "brackets"
    yield "job.toml", SMALL_JOB.replace("[tube]", f"keepout = [{'{},' * 60_000}]\n[tube]"), "at most"
    keepout = '[[keepout]]\nname = "a"\nshape = "sphere"\ncenter = [0.0, 0.0, 900.0]\nradius = 5.0\n'
    yield "job.toml", SMALL_JOB + keepout * 2000, "two keep-outs"
    yield "job.toml", SMALL_JOB + "[[port]]\n" * 5000, "at most"
    yield "job.toml", SMALL_JOB + "x = 1\n" * 60_000, "twice"
    yield "job.toml", SMALL_JOB + "= " * 90_000, "cannot be read"
    yield "job.toml", SMALL_JOB + "= \n" * 90_000, "cannot be read"
    yield "job.toml", SMALL_JOB + "a" + ".a" * 90_000 + " = 1\n", ""
    yield "job.toml", SMALL_JOB + 'name2 = "' + "x" * 1_900_000 + '"\n', "not a key"
    points = "[0.0, 0.0, 0.0], " * 900
    yield "routes.toml", f"{HEAD}[[primary]]\ncylinder = 1\npoints = [{points}]\nradii = []\n", "radi"
    yield "routes.toml", f"{HEAD}[[primary]]\ncylinder = 1\npoints = [{points_of(130)}]\nradii = [{radii_of(130)}]\n", "longer"
    runs = "".join(f"[[tail]]\nfrom = \"c{k}\"\npoints = [{points_of(90)}]\nradii = [{radii_of(90)}]\n" for k in range(60))
    yield "routes.toml", HEAD + runs, "more bends together"
    mitre = '[[mitre]]\nname = "m"\nod = 400\nclr = 5000\nangle = 180\nsegments = 60\nlegs = [2000, 2000]\n'
    yield "templates.toml", HEAD + mitre * 5000, "at most"
    yield "templates.toml", HEAD + mitre * 100, ""
    hole = "[[flange.hole]]\nat = [0, 0, 0]\ndiameter = 8\n"
    yield "flange.toml", f'{HEAD}[[flange]]\nname = "f"\ncylinders = [1]\n{hole * 20_000}', "at most"
    yield "bender.toml", HEAD + "[[tool]]\nod = 40\nclr = 60\nclamp = 50\n" * 20_000, "at most"
    yield "rates.toml", HEAD + '[[extra]]\nwhat = "a"\nprice = 1e9\nquantity = 1e6\n' * 10_000, "at most"
    thing = {"id": "x", "label": "x", "thing": {"od": 40, "wall": 2, "shape": {"kind": "straight", "length": 100}}}
    yield "shelf.json", json.dumps([thing] * 10_000), "at most"
    thing["thing"]["shape"]["length"] = 1e12
    yield "shelf.json", json.dumps([thing]), "lies between"
    yield "terms.txt", "terms " * 300_000, "at most"


def attack(ctx):
    worst = (0, "")
    with ctx.server() as server:
        job = Job(server)
        good = {n: job.text(n) for n in ["job.toml", "routes.toml", "cutplan.json"]}
        count = 0
        for name, text, wanted in documents(job):
            answer, seconds = job.put(name, text)
            assert answer.status in (200, 413, 422), f"{name} {text[:60]!r}: {answer.status} {answer.body[:300]!r}"
            assert wanted in answer.body.decode(), f"{name} {text[-60:]!r}: no {wanted!r} in {answer.body[:1500]!r}"
            assert seconds < LONGEST, f"{name} {text[:60]!r}: {seconds:.1f} s"
            worst = max(worst, (seconds, name))
            count += 1
            begun = time.perf_counter()
            # Whatever is made of it ends too: sheets, drawings, and the list of all jobs.
            for path in [f"{job.path}/papers/sheets", f"{job.path}/exports/svg"]:
                made = server.call("GET", path)
                assert made.status in (200, 409, 422), f"{name}: {path}: {made.status} {made.body[:300]!r}"
            jobs = server.done("GET", "/api/jobs")["jobs"]
            assert len(jobs) >= 1 and time.perf_counter() - begun < 4 * LONGEST, f"{name} {text[:60]!r}"
            if answer.status == 200:
                text = good.get(name)
                body = {"version": answer.json()["version"], "label": "good", "text": text}
                assert server.call("PUT", f"{job.path}/documents/{name}", body).status == 200
        assert server.done("GET", job.path)["plan_stale"] is None
        peak = server.peak()
        assert peak < 1000, f"{peak:.0f} MB"
        stop = server.stop(10)
    with ctx.server() as server:
        begun = time.perf_counter()
        jobs = server.done("GET", "/api/jobs")["jobs"]
        assert "broken" not in [j["state"] for j in jobs], jobs
        listed = time.perf_counter() - begun
        other = server.job(SMALL_JOB + "# a content of its own\n")
        server.stop(10)
    lose(server.data / "shop.sqlite", other["id"])
    with ctx.server() as server:
        # Another file of stock: every job is read again for its line in the list.
        server.done("PUT", "/api/stock", {"version": 0, "text": "format = 1\n"})
        states = {j["id"]: j["state"] for j in server.done("GET", "/api/jobs")["jobs"]}
        assert states[other["id"]] == "broken" and len(states) == len(jobs) + 1, states
        seen = server.done("GET", f"/api/jobs/{other['id']}")
        assert seen["problems"][0]["code"] == "document-lost", seen["problems"]
    return f"{count} documents, the longest {worst[0]:.2f} s ({worst[1]}), list after a restart {listed:.2f} s, ended in {stop:.1f} s, peak {peak:.0f} MB"


def lose(store, job):
    """Takes what the job's documents hold out of the store."""
    with sqlite3.connect(store) as database:
        database.execute("PRAGMA foreign_keys = OFF")
        heads = "SELECT hash FROM documents WHERE revision = (SELECT head FROM jobs WHERE id = ?)"
        database.execute(f"DELETE FROM contents WHERE hash IN ({heads})", [job])
    database.close()
