"""A client that leaves in the middle of a write, 1000 times: saving goes on, and what was acknowledged is kept."""

import json
import socket
import time

from harness import together, wait

TIMES = 1000
AT_A_TIME = 10
EACH = 5


def leave(server, job, k):
    """Sends an edit and closes the connection without waiting; most closings are resets."""
    edit = {"op": "set", "path": ["port", 0, "at"], "value": [k % 50, 0.0, 0.0]}
    body = json.dumps({"version": job["version"], "label": "leave", "edits": [edit]}).encode()
    paths = [("POST", f"/api/jobs/{job['id']}/edits", body), ("PATCH", "/api/shop", b'{"units": "in"}')]
    method, path, body = paths[k % 2]
    head = f"{method} {path} HTTP/1.1\r\nHost: 127.0.0.1:{server.port}\r\nContent-Type: application/json\r\n"
    connection = server.connect()
    if k % 3:
        connection.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, b"\1\0\0\0\0\0\0\0")
    connection.sendall(f"{head}Content-Length: {len(body)}\r\n\r\n".encode() + body)
    # From at once to the time of a write: every step of it is met.
    time.sleep((k * 37 % 60) / 1000)
    connection.close()


def edited(server, name, job):
    """The job after an edit. Edits of those who left may come before it, a few at most."""
    for x in range(AT_A_TIME * EACH):
        answer = server.edit(server.done("GET", f"/api/jobs/{job['id']}"), 1000 + x)
        if answer.status != 409:
            break
    assert answer.status == 200, f"{name}: an edit after those who left: {answer.status} {answer.body[:300]}"
    return answer.json()


def on(server, name):
    job = server.job()
    for turn in range(TIMES // 2 // (AT_A_TIME * EACH)):
        # Several at a time: some leave while they wait for their turn to write.
        together(AT_A_TIME, lambda k: [leave(server, job, turn * 100 + k * EACH + e) for e in range(EACH)])
        job = edited(server, name, job)
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


def attack(ctx):
    return ctx.on_both(on)
