"""A client that leaves in the middle of a write, 1000 times: saving goes on, and what was acknowledged is kept."""

import json
import socket
import time

from harness import wait

TIMES = 1000


def leave(server, job, k):
    """Sends an edit and closes the connection without waiting; most closings are resets."""
    edit = {"op": "set", "path": ["port", 0, "at"], "value": [k % 50, 0.0, 0.0]}
    body = json.dumps({"version": job["version"], "label": "leave", "edits": [edit]}).encode()
    paths = [("POST", f"/api/jobs/{job['id']}/edits", body), ("PATCH", "/api/shop", b'{"name": "shop %d"}' % k)]
    method, path, body = paths[k % 2]
    head = f"{method} {path} HTTP/1.1\r\nHost: 127.0.0.1:{server.port}\r\nContent-Type: application/json\r\n"
    connection = server.connect()
    if k % 3:
        connection.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, b"\1\0\0\0\0\0\0\0")
    connection.sendall(f"{head}Content-Length: {len(body)}\r\n\r\n".encode() + body)
    # From at once to the time of a write: every step of it is met.
    time.sleep((k * 37 % 40) / 10_000)
    connection.close()


def on(server, name):
    job = server.job()
    for k in range(TIMES // 2):
        leave(server, job, k)
        if k % 100 == 99:
            # Edits that were finished have moved the job on; acknowledged ones below must be kept.
            job = server.done("GET", f"/api/jobs/{job['id']}")
            answer = server.edit(job, 1000 + k)
            while answer.status == 409:
                job = server.done("GET", f"/api/jobs/{job['id']}")
                answer = server.edit(job, 1000 + k)
            assert answer.status == 200, f"{name}: an edit after {k} leavers: {answer.status} {answer.body[:300]}"
            job = answer.json()
    wait("health", lambda: server.call("GET", "/api/health").status == 200, 20)
    server.done("PATCH", "/api/shop", {"name": "acknowledged"})
    kept = server.done("GET", f"/api/jobs/{job['id']}/revisions")["revisions"]
    server.stop()
    server.start()
    assert server.done("GET", "/api/shop")["name"] == "acknowledged", f"{name}: an acknowledged name is gone"
    again = server.done("GET", f"/api/jobs/{job['id']}/revisions")["revisions"]
    assert [r["id"] for r in kept] == [r["id"] for r in again], f"{name}: revisions are gone"
    checked = server.instead("--check")
    assert checked.returncode == 0, checked.stderr
    return f"{name}: {server.figures()}"


def attack(ctx):
    figures = []
    for name, where in ctx.both():
        with ctx.server(name, **where) as server:
            figures.append(on(server, name))
    return "; ".join(figures)
