"""SIGTERM under each kind of stuck call ends the server within ten seconds, a second signal at once; nothing
acknowledged is lost."""

import json
import os
import signal
import time

LONGEST = 10


def half_head(server, job):
    stuck = server.connect()
    stuck.sendall(b"GET /api/jobs HTTP/1.1\r\nHost: 127.0.0.1")
    return stuck


def stalled_upload(server, job):
    """An upload that stops after two bytes, once the server has said that it reads the body."""
    stuck = server.connect()
    head = f"POST /api/jobs/import HTTP/1.1\r\nHost: 127.0.0.1:{server.port}\r\nExpect: 100-continue\r\n"
    stuck.sendall(f"{head}Content-Type: application/zip\r\nContent-Length: 5000000\r\n\r\n".encode())
    stuck.settimeout(10)
    assert stuck.recv(12) == b"HTTP/1.1 100"
    stuck.sendall(b"PK")
    return stuck


def stream(server, path, wish):
    stuck = server.connect()
    body = json.dumps(wish)
    head = f"POST {path} HTTP/1.1\r\nHost: 127.0.0.1:{server.port}\r\nContent-Type: application/json\r\n"
    stuck.sendall(f"{head}Content-Length: {len(body)}\r\n\r\n{body}".encode())
    return stuck


def search(server, job):
    stuck = stream(server, f"/api/jobs/{job['id']}/searches", {"version": job["version"], "effort": 200})
    assert stuck.recv(12) == b"HTTP/1.1 200"
    return stuck


def reader_that_reads_nothing(server, job):
    """Many answers asked for on one connection, and none of them taken."""
    stuck = server.connect()
    request = f"GET /api/openapi.json HTTP/1.1\r\nHost: 127.0.0.1:{server.port}\r\n\r\n".encode()
    stuck.setblocking(False)
    for _ in range(2000):
        try:
            stuck.sendall(request)
        except BlockingIOError:
            break
    return stuck


def searches_in_the_queue(server, job):
    wish = {"version": job["version"], "effort": 200}
    return [stream(server, f"/api/jobs/{job['id']}/searches", wish) for _ in range(12)]


STUCK = [half_head, stalled_upload, search, reader_that_reads_nothing, searches_in_the_queue]


def under(ctx, stuck):
    with ctx.server(stuck.__name__) as server:
        job = server.done("POST", "/api/jobs", {"example": "hill-climb-four"})
        held = stuck(server, job)
        kept = server.done("PATCH", "/api/shop", {"name": stuck.__name__})
        time.sleep(0.3)
        seconds = server.stop(LONGEST)
        code = server.process.returncode
        assert code == 0, f"{stuck.__name__}: exit code {code}: {server.log()[-500:]}"
        del held
    with ctx.server(stuck.__name__) as server:
        assert server.done("GET", "/api/shop")["name"] == kept["name"]
    return f"{stuck.__name__.replace('_', ' ')} {seconds:.1f} s"


def twice(ctx):
    """A second signal ends at once."""
    with ctx.server("twice") as server:
        held = stalled_upload(server, None)
        server.signal(signal.SIGTERM)
        time.sleep(0.3)
        assert server.running(), "it ended before the second signal, under a stalled upload"
        begun = time.perf_counter()
        server.signal(signal.SIGTERM)
        server.process.wait(2)
        del held
        return f"second signal {time.perf_counter() - begun:.2f} s"


def attack(ctx):
    if os.name == "nt":
        return "signals of Unix only"
    return ", ".join([under(ctx, stuck) for stuck in STUCK] + [twice(ctx)])
