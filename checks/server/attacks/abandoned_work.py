"""Work whose callers leave is stopped or never begun: 400 sets of sheets, 30 cuts, a search that would take minutes."""

import json
import os
import time

from harness import SMALL_JOB, events, together, wait

SHEETS = 400
CUTS = 30


def processor(server):
    """Seconds of processor that the server has used."""
    fields = open(f"/proc/{server.pid}/stat", encoding="ascii").read().rsplit(")", 1)[1].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def leave(server, request):
    with server.connect() as connection:
        connection.sendall(request)
        time.sleep(0.05)


def idle(server):
    """Waits until it uses no processor; the seconds that took."""
    begun = time.perf_counter()
    while True:
        before = processor(server)
        time.sleep(0.5)
        if processor(server) - before < 0.05:
            return time.perf_counter() - begun - 0.5
        assert time.perf_counter() - begun < 60, "it still works for nobody"


def crowded():
    """A job of 24 runs among 600 spheres: its search would take many minutes."""
    port, rest = SMALL_JOB.index("[[port]]"), SMALL_JOB.index("[[collector]]")
    ports = "".join(
        f"[[port]]\ncylinder = {i + 1}\nat = [{90.0 * i}, 0.0, 0.0]\naxis = [0.0, 1.0, 0.0]\nstub = 30.0\n" for i in range(24)
    )
    spheres = "".join(
        f'[[keepout]]\nname = "k{i}"\nshape = "sphere"\nradius = 9.0\n'
        f"center = [{100.0 * (i % 50) - 1500}, {200.0 + 60.0 * (i // 50)}, {-200.0 - 50.0 * (i % 7)}]\n"
        for i in range(600)
    )
    many = SMALL_JOB[rest:].replace("inlets = 1", 'inlets = 24\npattern = "line"\ngap = 5.0')
    return SMALL_JOB[:port] + ports + many + spheres


def search_for_nobody(server, head):
    """Seconds until a hard search whose caller has left uses no processor any more."""
    job = server.job(crowded())
    body = json.dumps({"version": job["version"], "effort": 200})
    request = f"POST /api/jobs/{job['id']}/searches HTTP/1.1\r\n{head}Content-Type: application/json\r\nContent-Length: {len(body)}\r\n\r\n{body}"
    with server.connect() as connection:
        connection.sendall(request.encode())
        assert connection.recv(12) == b"HTTP/1.1 200"
        time.sleep(2)
    return idle(server)


def attack(ctx):
    with ctx.server() as server:
        wait("the first job is cut", lambda: server.done("GET", "/api/jobs")["jobs"][0]["state"] == "cut")
        job = server.done("GET", "/api/jobs")["jobs"][0]
        path = f"/api/jobs/{job['id']}"
        idle(server)
        head = f"Host: 127.0.0.1:{server.port}\r\n"
        used = processor(server)
        together(SHEETS, lambda _: leave(server, f"GET {path}/papers HTTP/1.1\r\n{head}\r\n".encode()))
        most = len(os.listdir(f"/proc/{server.pid}/task"))
        after_sheets, sheets = idle(server), processor(server) - used
        begun = time.perf_counter()
        assert server.call("GET", f"{path}/papers/sheets").status == 200
        one = time.perf_counter() - begun
        used = processor(server)
        body = json.dumps({"version": job["version"]})
        request = f"POST {path}/cut HTTP/1.1\r\n{head}Content-Type: application/json\r\nContent-Length: {len(body)}\r\n\r\n{body}"
        together(CUTS, lambda _: leave(server, request.encode()))
        after_cuts, cuts = idle(server), processor(server) - used
        assert server.done("GET", path)["version"] == job["version"], "a cut that nobody waited for was kept"
        answer = server.call("POST", f"{path}/cut", {"version": job["version"]})
        assert events(answer.body)[-1][0] == "done"
        after_search = search_for_nobody(server, head)
        assert after_search < 30, f"a search goes on for {after_search:.0f} s after its caller has left"
        peak = server.peak()
        assert peak < 1000 and most < 40, f"{peak:.0f} MB, {most} threads"
        assert cuts < 15, f"{cuts:.0f} s of processor for cuts that nobody waits for"
        return (
            f"{SHEETS} sets left: {sheets:.1f} s of processor, idle after {after_sheets:.1f} s, {most} threads; one set {one:.1f} s; "
            f"{CUTS} cuts left: {cuts:.1f} s, idle after {after_cuts:.1f} s; a search left ends within {after_search:.1f} s; {server.figures()}"
        )
