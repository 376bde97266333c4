"""Work whose callers leave is stopped or never begun: 400 sets of sheets, 30 cuts."""

import json
import os
import time

from harness import events, together, wait

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
        peak = server.peak()
        assert peak < 1000 and most < 40, f"{peak:.0f} MB, {most} threads"
        assert cuts < 15, f"{cuts:.0f} s of processor for cuts that nobody waits for"
        return (
            f"{SHEETS} sets left: {sheets:.1f} s of processor, idle after {after_sheets:.1f} s, {most} threads; one set {one:.1f} s; "
            f"{CUTS} cuts left: {cuts:.1f} s, idle after {after_cuts:.1f} s; {server.figures()}"
        )
