"""Twenty people at one server: each edits their own job for some seconds. Loopback, a real store.

    python bench/serve.py [SECONDS]

Calls: an edit of job.toml (a new revision), trials of a moved point, the job read again. Prints for each
kind of call how many a second, and the median, 95th and 99th percentile in ms. Then one person alone, who drags a point of an
eight-primary job beside a scan of 300 k triangles, edits its gaps, and cuts it.
"""

import http.client
import json
import math
import shutil
import statistics
import struct
import subprocess
import sys
import tempfile
import threading
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
CLIENTS = 20


class Caller:
    """One connection that is kept, as a browser keeps it."""

    def __init__(self, port):
        self.port = port
        self.connection = http.client.HTTPConnection("127.0.0.1", port, timeout=120)

    def send(self, method, path, body=b"", kind="application/json"):
        self.connection.request(method, path, body, {"Content-Type": kind})
        answer = self.connection.getresponse()
        data = answer.read()
        assert answer.status in (200, 201), f"{method} {path}: {answer.status} {data[:500]}"
        return data

    def call(self, method, path, body=None):
        # A GET has no body: a server may close a connection on which one comes in late.
        return json.loads(self.send(method, path, b"" if method == "GET" else json.dumps(body or {}).encode()))


def start(folder):
    program = ROOT / "target/release/tubewright"
    subprocess.run(["cargo", "build", "--release", "--quiet", "-p", "tubewright"], cwd=ROOT, check=True)
    command = [program, "serve", "--port", "0", "--data", folder]
    server = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True)
    line = server.stdout.readline()
    return server, int(line[line.index("127.0.0.1:") + 10 :].split("/")[0])


def first_job(caller):
    for _ in range(600):
        jobs = json.loads(caller.send("GET", "/api/jobs"))["jobs"]
        if jobs and jobs[0]["state"] == "cut":
            return jobs[0]["id"]
        time.sleep(0.2)
    raise SystemExit("no finished example in the shop")


def person(port, source, until, spent):
    """One who edits a copy of the example: every second call is a trial, as in dragging."""
    caller = Caller(port)
    job = caller.call("POST", f"/api/jobs/{source}/copy")
    path = f"/api/jobs/{job['id']}"
    at = job["document"]["port"][0]["at"]
    turn = 0
    while time.perf_counter() < until:
        turn += 1
        run = job["routes"]["runs"][turn % len(job["routes"]["runs"])]
        points = [list(p) for p in run["points"]]
        points[1][1] += 0.5 * (turn % 5)
        move = {"runs": [{"run": run["run"], "points": points, "radii": run["radii"]}]}
        shift = [at[0], at[1], round(at[2] + 0.01 * (turn % 7), 3)]
        edit = {"op": "set", "path": ["port", 0, "at"], "value": shift}
        for name, method, rest, body in [
            ("trial", "POST", "/trial", move),
            ("trial", "POST", "/trial", move),
            ("edit", "POST", "/edits", {"version": job["version"], "label": "Move port", "edits": [edit]}),
            ("read", "GET", "", None),
        ]:
            begun = time.perf_counter()
            told = caller.call(method, path + rest, body)
            spent.append((name, time.perf_counter() - begun))
            if name == "edit":
                job = told


def cut(caller, path, version):
    """Seconds to the first plan and to the end, and the job with the plan."""
    begun = time.perf_counter()
    body = json.dumps({"version": version}).encode()
    caller.connection.request("POST", f"{path}/cut", body, {"Content-Type": "application/json"})
    answer = caller.connection.getresponse()
    first, name = None, None
    for line in iter(answer.readline, b""):
        field, _, rest = line.decode().partition(":")
        if field == "event":
            name = rest.strip()
            if name == "better" and first is None:
                first = time.perf_counter() - begun
        elif field == "data" and name == "done":
            job = json.loads(rest)["job"]
    return first, time.perf_counter() - begun, job


def figures(name, seconds, during):
    ordered = sorted(s * 1000 for s in seconds)
    at = lambda share: ordered[min(len(ordered) - 1, math.ceil(share * len(ordered)) - 1)]
    rate = f"{len(ordered) / during:7.1f}/s" if during else "         "
    print(f"  {name:7} {rate}   p50 {statistics.median(ordered):7.1f} ms   p95 {at(0.95):7.1f} ms   p99 {at(0.99):7.1f} ms")


def scan(triangles):
    """A wavy sheet below an engine, binary STL, about so many triangles, in mm."""
    n = int(math.sqrt(triangles / 2))
    height = lambda x, y: -620.0 + 18.0 * math.sin(x / 40.0) * math.cos(y / 55.0)
    point = lambda i, j: (-1200.0 + 1500.0 * i / n, -300.0 + 1200.0 * j / n)
    out = bytearray(b"\0" * 80 + struct.pack("<I", 2 * n * n))
    for i in range(n):
        for j in range(n):
            corners = [(*point(a, b), height(*point(a, b))) for a, b in [(i, j), (i + 1, j), (i + 1, j + 1), (i, j + 1)]]
            for k in (1, 2):
                for v in ((0.0, 0.0, 0.0), corners[0], corners[k], corners[k + 1]):
                    out += struct.pack("<3f", *v)
                out += b"\0\0"
    return bytes(out)


def dragging(port):
    """One person, eight primaries, a scan of 300 k triangles."""
    caller = Caller(port)
    wish = {"name": "eight", "layout": "inline", "cylinders": 8, "units": "mm"}
    job = caller.call("POST", "/api/jobs", {"starter": wish})
    path = f"/api/jobs/{job['id']}"
    stl = scan(300_000)
    begun = time.perf_counter()
    taken = json.loads(caller.send("PUT", f"{path}/meshes/scan.stl?version=1", stl, "application/octet-stream"))
    print(f"  a scan of {taken['mesh']['triangles']} triangles taken in: {time.perf_counter() - begun:.2f} s")
    keepout = {"name": "floor", "shape": "mesh", "file": "scan.stl"}
    edit = {"op": "insert", "path": ["keepout", len(job["document"].get("keepout", []))], "value": keepout}
    job = caller.call("POST", f"{path}/edits", {"version": 2, "label": "Scan", "edits": [edit]})
    told = caller.send("POST", f"{path}/searches", json.dumps({"version": job["version"], "effort": 0}).encode())
    job = caller.call("GET", path)
    assert job["routes"], told[-2000:]
    assert len(job["routes"]["runs"]) == 8
    spent = {"trial": [], "edit": [], "plan": [], "proof": []}
    for turn in range(60):
        run = job["routes"]["runs"][turn % 8]
        points = [list(p) for p in run["points"]]
        points[1][1] += 0.3 * (turn % 9)
        begun = time.perf_counter()
        caller.call("POST", f"{path}/trial", {"runs": [{"run": run["run"], "points": points, "radii": run["radii"]}]})
        spent["trial"].append(time.perf_counter() - begun)
    for turn in range(20):
        edit = {"op": "set", "path": ["clearance", "tubes"], "value": 5.0 + 0.01 * turn}
        begun = time.perf_counter()
        job = caller.call("POST", f"{path}/edits", {"version": job["version"], "label": "Gap", "edits": [edit]})
        spent["edit"].append(time.perf_counter() - begun)
    for _ in range(5):
        first, whole, job = cut(caller, path, job["version"])
        spent["plan"].append(first)
        spent["proof"].append(whole)
    for name, seconds in spent.items():
        figures(name, seconds, None)


def main():
    seconds = float(sys.argv[1]) if len(sys.argv) > 1 else 8.0
    folder = tempfile.mkdtemp(prefix="tubewright-bench-")
    server, port = start(folder)
    try:
        source = first_job(Caller(port))
        print(f"{CLIENTS} people, each with their own job, {seconds:.0f} s")
        spent = []
        begun = time.perf_counter()
        people = [
            threading.Thread(target=person, args=(port, source, begun + seconds, spent)) for _ in range(CLIENTS)
        ]
        [p.start() for p in people]
        [p.join() for p in people]
        during = time.perf_counter() - begun
        for name in ["edit", "trial", "read"]:
            figures(name, [s for n, s in spent if n == name], during)
        print("one person, eight primaries, a scan")
        dragging(port)
    finally:
        server.terminate()
        server.wait()
        shutil.rmtree(folder)


main()
